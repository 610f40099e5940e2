#include "review/speeds.h"

#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static const struct {
    const char *id;
    double m_per_s;
} UNITS[] = {[SP_SPEED_NO_UNIT] = {"", 1},
             [SP_SPEED_M_S] = {"m/s", 1},
             [SP_SPEED_KM_H] = {"km/h", 1 / 3.6},
             [SP_SPEED_MPH] = {"mph", 0.44704}};

static const struct {
    const char *word;
    sp_speed_unit unit;
} WORDS[] = {{"km/h", SP_SPEED_KM_H}, {"kmh", SP_SPEED_KM_H},  {"kph", SP_SPEED_KM_H},
             {"kmph", SP_SPEED_KM_H}, {"km/u", SP_SPEED_KM_H}, {"km/t", SP_SPEED_KM_H},
             {"mph", SP_SPEED_MPH},   {"mi/h", SP_SPEED_MPH},  {"m/s", SP_SPEED_M_S},
             {"ms", SP_SPEED_M_S},    {"mps", SP_SPEED_M_S}};

const char *sp_speed_unit_id(sp_speed_unit unit) { return UNITS[unit].id; }

bool sp_speed_unit_find(const char *word, sp_speed_unit *unit) {
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++) {
        if (strcasecmp(WORDS[i].word, word) != 0) continue;
        *unit = WORDS[i].unit;
        return true;
    }
    return false;
}

double sp_speed_in(sp_speed_unit unit, double m_per_s) { return m_per_s / UNITS[unit].m_per_s; }

bool sp_speed_value_take(double value, sp_speed_unit unit, double *m_per_s, char *why,
                         size_t size) {
    *m_per_s = value * UNITS[unit].m_per_s;
    if (*m_per_s >= SP_SPEED_LEAST_M_S && *m_per_s <= SP_SPEED_MOST_M_S) return true;
    snprintf(why, size,
             "%g %s is no speed of a serve, which lies between %.0f and %.0f %s; is the unit, or "
             "the decimal sign, right?",
             value, UNITS[unit].id, sp_speed_in(unit, SP_SPEED_LEAST_M_S),
             sp_speed_in(unit, SP_SPEED_MOST_M_S), UNITS[unit].id);
    return false;
}

/* --- the list -------------------------------------------------------------------------------- */
sp_speeds *sp_speeds_new(sp_error *error) {
    sp_speeds *speeds = calloc(1, sizeof *speeds);
    if (speeds == NULL) sp_fail(error, SP_ERROR_MEMORY, "no memory left for the speeds");
    return speeds;
}

void sp_speeds_free(sp_speeds *speeds) {
    if (speeds == NULL) return;
    free(speeds->faults);
    free(speeds->list);
    free(speeds);
}

/* Room for one more of `size` bytes; NULL without memory: the list is as it was. */
static void *make_room(void *list, size_t count, size_t *room, size_t size) {
    if (count < *room) return list;
    const size_t larger = *room == 0 ? 64 : 2 * *room;
    void *grown = realloc(list, larger * size);
    if (grown != NULL) *room = larger;
    return grown;
}

bool sp_speeds_put(sp_speeds *speeds, const sp_speed *speed, sp_error *error) {
    sp_speed *list = make_room(speeds->list, speeds->count, &speeds->room, sizeof *list);
    if (list == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the speeds");
    speeds->list = list;
    list[speeds->count++] = *speed;
    return true;
}

bool sp_speeds_add_fault(sp_speeds *speeds, const char *name, int line, sp_error *error,
                         const char *format, ...) {
    sp_speed_fault *faults =
        make_room(speeds->faults, speeds->fault_count, &speeds->fault_room, sizeof *faults);
    if (faults == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the speeds");
    speeds->faults = faults;
    sp_speed_fault *fault = &faults[speeds->fault_count++];
    fault->line = line;
    int used = line > 0
                   ? snprintf(fault->words, sizeof fault->words, "%.80s, line %d: ", name, line)
                   : snprintf(fault->words, sizeof fault->words, "%.80s: ", name);
    if (used < 0) used = 0;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(fault->words + used, sizeof fault->words - (size_t)used, format, arguments);
    va_end(arguments);
    return true;
}

size_t sp_speeds_count(const sp_speeds *speeds) { return speeds->count; }

const sp_speed *sp_speeds_at(const sp_speeds *speeds, size_t index) {
    assert(index < speeds->count);
    return &speeds->list[index];
}

size_t sp_speeds_fault_count(const sp_speeds *speeds) { return speeds->fault_count; }

const sp_speed_fault *sp_speeds_fault_at(const sp_speeds *speeds, size_t index) {
    assert(index < speeds->fault_count);
    return &speeds->faults[index];
}
