#include "deliver/history_views.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

double sp_history_day_number(const char *day) {
    struct tm date = {.tm_hour = 12};
    const char *end = strptime(day, "%Y-%m-%d", &date);
    if (end == NULL || *end != '\0') return NAN;
    return floor((double)timegm(&date) / 86400);
}

static sp_history_view *view_of(sp_history_views *views, const sp_review *review) {
    const sp_view view = sp_review_get_view(review);
    const sp_hand hand = sp_review_get_player(review)->hand;
    for (int i = 0; i < views->count; i++)
        if (views->at[i].view == view && views->at[i].hand == hand) return &views->at[i];
    sp_history_view *added = &views->at[views->count++];
    *added = (sp_history_view){.view = view, .hand = hand};
    return added;
}

static bool make_room(sp_history_view *v, size_t count) {
    v->entries = calloc(count, sizeof(void *));
    v->serves = calloc(count, sizeof *v->serves);
    v->days = calloc(count, sizeof *v->days);
    return v->entries != NULL && v->serves != NULL && v->days != NULL;
}

static void add(sp_history_view *v, const sp_history_serve *entry) {
    sp_serve *serve = &v->serves[v->count];
    *serve = (sp_serve){.review = entry->review, .readout = entry->readout};
    const char *before = v->count == 0 ? "" : v->entries[v->count - 1]->day;
    if (strcmp(before, entry->day) != 0)
        v->days[v->day_count++] = (sp_day){.name = entry->day, .serves = serve};
    v->days[v->day_count - 1].count++;
    v->entries[v->count++] = entry;
}

static int by_count(const void *one, const void *other) {
    const sp_history_view *a = one, *b = other;
    if (a->count != b->count) return a->count > b->count ? -1 : 1;
    return (int)a->view * 2 + (int)a->hand - ((int)b->view * 2 + (int)b->hand);
}

bool sp_history_views_fill(const sp_history *history, sp_history_views *views) {
    const size_t count = sp_history_count(history);
    *views = (sp_history_views){.count = 0};
    for (size_t i = 0; i < count; i++) {
        const sp_history_serve *entry = sp_history_at(history, i);
        sp_history_view *v = view_of(views, entry->review);
        if (v->entries == NULL && !make_room(v, count)) {
            sp_history_views_free(views);
            return false;
        }
        add(v, entry);
    }
    qsort(views->at, (size_t)views->count, sizeof views->at[0], by_count);
    return true;
}

void sp_history_views_free(sp_history_views *views) {
    for (int i = 0; i < views->count; i++) {
        free(views->at[i].entries);
        free(views->at[i].serves);
        free(views->at[i].days);
    }
    views->count = 0;
}
