/* Measured serve speeds: read from a table, from a review, or entered by hand.
 *
 * A table is comma-, semicolon- or tab-separated text (RFC 4180, UTF-8 with or without a byte order
 * mark). Columns are found by their heads, in several languages; the unit is the cell's own ("112
 * km/h"), else that of the unit column, of the head ("speed (mph)"), or of the options. A row that
 * cannot be used is named by its line and left out; the others are kept. */
#ifndef SERVEPLUMB_SPEEDS_H
#define SERVEPLUMB_SPEEDS_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/review.h"

typedef enum { SP_SPEED_NO_UNIT, SP_SPEED_M_S, SP_SPEED_KM_H, SP_SPEED_MPH } sp_speed_unit;
const char *sp_speed_unit_id(sp_speed_unit unit); /* "km/h" */
/* "km/h", "kmh", "kph", "mph", "m/s", "ms", in any case; false for any other word. */
bool sp_speed_unit_find(const char *word, sp_speed_unit *unit);
double sp_speed_in(sp_speed_unit unit, double m_per_s);

/* "03/04/2027": the fourth of March where the month comes first. */
typedef enum { SP_DATES_NOT_SAID, SP_DATES_DAY_FIRST, SP_DATES_MONTH_FIRST } sp_date_order;

#define SP_SPEED_DATE_SIZE 11
#define SP_SPEED_DEVICE_MAX 64
/* Faster than anyone has served (263 km/h: Groth 2012, not recognised; from memory) or slower than
 * a ball reaches the net: a slip of the pen. */
#define SP_SPEED_LEAST_M_S 3.0
#define SP_SPEED_MOST_M_S 80.0

typedef struct {
    char date[SP_SPEED_DATE_SIZE]; /* "2027-03-14" */
    double m_per_s;
    sp_speed_unit unit; /* as it was written */
    char device[SP_SPEED_DEVICE_MAX];
    int line; /* of its table; 0: of none */
} sp_speed;

typedef struct {
    int line;        /* 0: of none */
    char words[300]; /* what, why, what to do, with file and line */
} sp_speed_fault;

typedef struct sp_speeds sp_speeds;

typedef struct {
    sp_speed_unit unit; /* where neither cell, column nor head says one */
    sp_date_order dates;
    const char *column; /* head of the column of speeds; NULL: found by itself */
    const char *player; /* whose rows, where the table has a column of players; NULL: all of one */
} sp_speeds_options;

sp_speeds *sp_speeds_new(sp_error *error);
void sp_speeds_free(sp_speeds *speeds);
size_t sp_speeds_count(const sp_speeds *speeds); /* in the order in which they were added */
const sp_speed *sp_speeds_at(const sp_speeds *speeds, size_t index);
/* At the end; a copy. */
bool sp_speeds_put(sp_speeds *speeds, const sp_speed *speed, sp_error *error);
size_t sp_speeds_fault_count(const sp_speeds *speeds);
const sp_speed_fault *sp_speeds_fault_at(const sp_speeds *speeds, size_t index);

/* Each adds to what is there. False when the whole source cannot be used: no such file, no column
 * of speeds or of dates, no unit anywhere, dates that may be either order,
 * several players and none chosen. `options` may be NULL.
 */
bool sp_speeds_read_csv(sp_speeds *speeds, const char *path, const sp_speeds_options *options,
                        sp_error *error);
bool sp_speeds_parse_csv(sp_speeds *speeds, const char *text, size_t length, const char *name,
                         const sp_speeds_options *options, sp_error *error);
/* The member `speeds` of a review; one without a date is of the day of the review. `name` stands
 * for the file in faults. */
bool sp_speeds_of_review(sp_speeds *speeds, const sp_review *review, const char *name,
                         sp_error *error);

/* --- by hand --------------------------------------------------------------------------------- */
/* "2027-03-14 112.4 km/h radar gun": date, speed, unit, and the device or nothing.
 * SP_ERROR_ARGUMENT names the word that is wrong. */
bool sp_speed_read(const char *words, sp_date_order dates, sp_speed *speed, sp_error *error);
/* Adds a row to the table as its heads ask, or makes the table where there is none. Atomic.
 * `player` (may be NULL) goes where the table has a column of players. */
bool sp_speeds_append_csv(const char *path, const sp_speed *speed, const char *player,
                          sp_error *error);
/* To the end of the member `speeds`. No edit: it cannot be undone. */
bool sp_review_add_speed(sp_review *review, const sp_speed *speed, sp_error *error);

#endif
