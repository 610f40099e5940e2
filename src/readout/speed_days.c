#include "serveplumb/speed_days.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

struct sp_speed_days {
    sp_speed_day *list;
    size_t count;
    double *values; /* of all days, one after the other */
};

/* A speed to be sorted; where it stands in memory is the order in which it was written. */
typedef struct {
    const sp_speed *speed;
} dated;

static int by_date(const void *a, const void *b) {
    const sp_speed *one = ((const dated *)a)->speed, *other = ((const dated *)b)->speed;
    const int order = strcmp(one->date, other->date);
    return order != 0 ? order : (one > other) - (one < other);
}

static void take_device(sp_speed_day *day, const sp_speed *speed, size_t index) {
    if (index == 0) sp_text_copy(day->device, sizeof day->device, speed->device);
    if (strcmp(day->device, speed->device) == 0) return;
    day->devices_differ = true;
    day->device[0] = '\0';
}

/* The serves of one date from `sorted` on; returns how many. */
static size_t take_day(sp_speed_day *day, double *values, const dated *sorted, size_t count) {
    size_t n = 0;
    *day = (sp_speed_day){.values = values};
    memcpy(day->date, sorted[0].speed->date, sizeof day->date);
    for (; n < count && strcmp(sorted[n].speed->date, day->date) == 0; n++) {
        values[n] = sorted[n].speed->m_per_s;
        if (!day->devices_differ) take_device(day, sorted[n].speed, n);
    }
    day->summary = sp_summary_of(values, n);
    day->mean = sp_summary_mean(day->summary);
    return n;
}

sp_speed_days *sp_speed_days_new(const sp_speeds *speeds, sp_error *error) {
    const size_t count = sp_speeds_count(speeds);
    sp_speed_days *days = calloc(1, sizeof *days);
    dated *sorted = calloc(count + 1, sizeof *sorted);
    if (days != NULL) {
        days->list = calloc(count + 1, sizeof *days->list);
        days->values = calloc(count + 1, sizeof *days->values);
    }
    if (days == NULL || sorted == NULL || days->list == NULL || days->values == NULL) {
        free(sorted);
        sp_speed_days_free(days);
        sp_fail(error, SP_ERROR_MEMORY, "no memory left for the days");
        return NULL;
    }
    for (size_t i = 0; i < count; i++) sorted[i].speed = sp_speeds_at(speeds, i);
    qsort(sorted, count, sizeof *sorted, by_date);
    for (size_t i = 0; i < count;)
        i += take_day(&days->list[days->count++], days->values + i, sorted + i, count - i);
    free(sorted);
    return days;
}

void sp_speed_days_free(sp_speed_days *days) {
    if (days == NULL) return;
    free(days->values);
    free(days->list);
    free(days);
}

size_t sp_speed_days_count(const sp_speed_days *days) { return days->count; }

const sp_speed_day *sp_speed_days_at(const sp_speed_days *days, size_t index) {
    assert(index < days->count);
    return &days->list[index];
}

size_t sp_speed_days_find(const sp_speed_days *days, const char *date) {
    for (size_t i = 0; i < days->count; i++)
        if (strcmp(days->list[i].date, date) == 0) return i;
    return SIZE_MAX;
}
