#include "window/spots.h"

#include <math.h>
#include <stddef.h>

void spots_add(spots *s, sp_rect rect, action *act, int argument) {
    if (s->count == SPOTS_MOST) return;
    s->at[s->count++] = (spot){rect, act, argument};
}

static bool holds(sp_rect r, double x, double y) {
    return x >= r.x && y >= r.y && x < r.x + r.width && y < r.y + r.height;
}

static double away(sp_rect r, double x, double y) {
    return hypot(r.x + r.width / 2 - x, r.y + r.height / 2 - y);
}

const spot *spots_hit(const spots *s, double x, double y) {
    const spot *hit = NULL;
    for (int i = s->count - 1; i >= 0; i--) {
        const spot *one = &s->at[i];
        if (!holds(one->rect, x, y)) continue;
        if (hit == NULL || (one->act == hit->act && away(one->rect, x, y) < away(hit->rect, x, y)))
            hit = one;
    }
    return hit;
}

int spots_find(const spots *s, action *act, int argument) {
    for (int i = 0; i < s->count; i++)
        if (s->at[i].act == act && s->at[i].argument == argument) return i;
    return -1;
}
