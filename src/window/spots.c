#include "window/spots.h"

#include <stddef.h>

void spots_add(spots *s, sp_rect rect, action *act, int argument) {
    if (s->count == SPOTS_MOST) return;
    s->at[s->count++] = (spot){rect, act, argument};
}

static bool holds(sp_rect r, double x, double y) {
    return x >= r.x && y >= r.y && x < r.x + r.width && y < r.y + r.height;
}

const spot *spots_hit(const spots *s, double x, double y) {
    for (int i = s->count - 1; i >= 0; i--)
        if (holds(s->at[i].rect, x, y)) return &s->at[i];
    return NULL;
}

int spots_find(const spots *s, action *act, int argument) {
    for (int i = 0; i < s->count; i++)
        if (s->at[i].act == act && s->at[i].argument == argument) return i;
    return -1;
}
