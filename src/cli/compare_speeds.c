#include "cli/compare_speeds.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    const sp_review *const *list;
    size_t count;
    sp_speeds *own;               /* in the reviews */
    char day[SP_SPEED_DATE_SIZE]; /* under which the side's speeds stand together */
} side;

static bool is_of(const side *s, const char *date) {
    for (size_t i = 0; i < s->count; i++)
        if (strcmp(sp_review_get_reviewed(s->list[i]), date) == 0) return true;
    for (size_t i = 0; i < sp_speeds_count(s->own); i++)
        if (strcmp(sp_speeds_at(s->own, i)->date, date) == 0) return true;
    return false;
}

static bool open_side(side *s, sp_error *error) {
    s->own = sp_speeds_new(error);
    for (size_t i = 0; s->own != NULL && i < s->count; i++)
        if (!sp_speeds_of_review(s->own, s->list[i], sp_review_get_clip(s->list[i])->file, error))
            return false;
    return s->own != NULL;
}

/* A speed of the side goes under the side's first date. False without memory. */
static bool take(sp_speeds *all, side *s, const sp_speed *speed, sp_error *error) {
    sp_speed kept = *speed;
    if (s->day[0] == '\0') memcpy(s->day, speed->date, sizeof s->day);
    memcpy(kept.date, s->day, sizeof kept.date);
    return sp_speeds_put(all, &kept, error);
}

static bool take_all(sp_speeds *all, side *s, const sp_speeds *table, sp_error *error) {
    for (size_t i = 0; i < sp_speeds_count(s->own); i++)
        if (!take(all, s, sp_speeds_at(s->own, i), error)) return false;
    for (size_t i = 0; table != NULL && i < sp_speeds_count(table); i++)
        if (is_of(s, sp_speeds_at(table, i)->date) && !take(all, s, sp_speeds_at(table, i), error))
            return false;
    return true;
}

static bool share_a_day(const side *a, const side *b, const sp_speeds *table) {
    for (size_t i = 0; i < sp_speeds_count(a->own); i++)
        if (is_of(b, sp_speeds_at(a->own, i)->date)) return true;
    for (size_t i = 0; table != NULL && i < sp_speeds_count(table); i++)
        if (is_of(a, sp_speeds_at(table, i)->date) && is_of(b, sp_speeds_at(table, i)->date))
            return true;
    return false;
}

static bool compare(side *a, side *b, const sp_speeds *all, sp_units units, cli_side_speeds *speeds,
                    sp_error *error) {
    if (a->day[0] == '\0' || b->day[0] == '\0') {
        if (sp_speeds_count(all) > 0)
            snprintf(speeds->why, sizeof speeds->why,
                     "Serve speeds are there of one side only: give those of the other, or the day "
                     "on which its serves were reviewed.");
        return true;
    }
    speeds->days = sp_speed_days_new(all, error);
    if (speeds->days == NULL) return false;
    speeds->compared = true;
    return sp_speed_change_of(
        sp_speed_days_at(speeds->days, sp_speed_days_find(speeds->days, a->day)),
        sp_speed_days_at(speeds->days, sp_speed_days_find(speeds->days, b->day)), units,
        &speeds->change, error);
}

static bool find(side *a, side *b, const char *csv, sp_speeds *all, sp_speeds *table,
                 sp_units units, cli_side_speeds *speeds, sp_error *error) {
    if (!open_side(a, error) || !open_side(b, error) ||
        (csv != NULL && !sp_speeds_read_csv(table, csv, NULL, error)))
        return false;
    for (size_t i = 0; i < sp_speeds_fault_count(table); i++)
        fprintf(stderr, "serveplumb: %s\n", sp_speeds_fault_at(table, i)->words);
    if (share_a_day(a, b, table)) {
        snprintf(speeds->why, sizeof speeds->why,
                 "Serve speeds are not compared: both sides have some of the same day.");
        return true;
    }
    return take_all(all, a, table, error) && take_all(all, b, table, error) &&
           compare(a, b, all, units, speeds, error);
}

bool cli_side_speeds_find(const sp_review *const *before, size_t before_count,
                          const sp_review *const *after, size_t after_count, const char *csv,
                          sp_units units, cli_side_speeds *speeds, sp_error *error) {
    side a = {.list = before, .count = before_count}, b = {.list = after, .count = after_count};
    *speeds = (cli_side_speeds){.days = NULL};
    sp_speeds *all = sp_speeds_new(error), *table = sp_speeds_new(error);
    const bool good =
        all != NULL && table != NULL && find(&a, &b, csv, all, table, units, speeds, error);
    sp_speeds_free(all);
    sp_speeds_free(table);
    sp_speeds_free(a.own);
    sp_speeds_free(b.own);
    return good;
}

void cli_side_speeds_clear(cli_side_speeds *speeds) {
    sp_speed_days_free(speeds->days);
    speeds->days = NULL;
}
