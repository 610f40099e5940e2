/* Did it really change? Two days of serves, or two serves, measure by measure.
 *
 * What is compared: the mean of the serves of each day. The error of its difference has three
 * parts, and what cannot be known is taken as large as it can be:
 *
 * - Measuring (taps, moments, scale, plumb, habits: the readout's interval, its longer side). How
 *   much of it is one and the same for all serves of a day (camera, scale, the coach's idea of an
 *   elbow) is not known: all of it is taken as shared, so that more serves do not make it smaller.
 *   Between the two days it is taken as independent. Errors that push both days the same way (same
 *   camera, same scale) cancel in the difference, which is then surer than is said here. Errors
 *   that push them opposite ways arise where the cameras stand on opposite sides of the player:
 *   then the two are added up whole, not in quadrature.
 * - View. A measure that is true only in the picture's plane changes with the camera's direction
 *   and the player's turn, and no interval of a readout holds that. Unless it is said that the
 *   camera stood and looked the same (`same_camera`), so much is added as two cameras set up by eye
 *   differ by (compare_view.c says where from); where both days know their cameras by the court, by
 *   how far apart those look.
 * - Serve to serve: with three serves or more on a day, its deviation over the root of their
 * number, with the degrees of freedom it has (JCGM 100:2008, G.4). A day of fewer borrows the
 * other's. When neither has three, nothing is known of it: the verdict is then of these serves, not
 * of the player (`of_serves`), and says so.
 *
 * What stands on assumptions is itself known to a quarter: 8 degrees of freedom (JCGM 100:2008,
 * G.4.2).
 *
 * Verdicts hold at 5 % for all measures compared together (Holm 1979), which a single measure pays
 * for: name the few that were worked on (`ids`), and their detectable change is smaller. */
#ifndef SERVEPLUMB_COMPARE_H
#define SERVEPLUMB_COMPARE_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

/* Serves of a day from which its scatter is estimated. */
#define SP_SERVES_FOR_SCATTER 3

typedef struct {
    const sp_review *review;
    const sp_readout *readout; /* of that review */
} sp_serve;

/* All of one view and one hand. */
typedef struct {
    const char *name; /* "2027-03-14", or of a file: for people */
    const sp_serve *serves;
    size_t count;
} sp_day;

/* A measure over the serves of a day. */
typedef struct {
    size_t serves;     /* that have a number */
    sp_interval value; /* mean and its 95 % interval: measuring and, where known, scatter */
    double scatter_sd; /* from serve to serve, as measured; NAN: fewer than three */
    double measuring;  /* standard uncertainty of measuring, shared by the serves */
    sp_status status;  /* OK or PROJECTED when there is a number, else of the first serve */
    const char *note;  /* of the first serve; borrowed from its readout */
} sp_day_value;

/* `index` is the measure's in the catalogue. */
sp_day_value sp_day_value_of(const sp_day *day, size_t index);
/* For sp_measure_text: the day's value as a measure. */
sp_measure sp_day_value_measure(const sp_day_value *value, size_t index);

typedef enum {
    SP_CHANGE_CHANGED,
    SP_CHANGE_WITHIN_ERROR,
    SP_CHANGE_NOT_COMPARABLE
} sp_change_verdict;
const char *sp_change_verdict_id(sp_change_verdict verdict); /* "within_error" */

/* Why not. */
typedef enum {
    SP_COMPARABLE,
    SP_APART_NO_NUMBER, /* a status other than ok and projected on one of the days */
    SP_APART_VIEW,
    SP_APART_HAND,
    SP_APART_SCALE, /* other method of scale, or several on one day */
} sp_apart;
const char *sp_apart_id(sp_apart apart); /* "other_view" */

typedef struct {
    const sp_measure_kind *kind;
    sp_day_value before, after;
    sp_interval difference; /* after - before, 95 % of this measure alone; NAN: not comparable */
    double detectable;      /* the smallest difference that would be called changed among so many */
    double detectable_alone; /* and were it the only one asked for: MDC95 */
    double p;                /* adjusted by Holm */
    sp_change_verdict verdict;
    sp_apart apart;
    bool of_serves;  /* no day has serves enough: of these serves, not of the player */
    char words[480]; /* the verdict in plain words with its reason; never empty */
} sp_change;

typedef struct {
    const char *const *ids; /* of measures; NULL: every one that can be compared */
    size_t id_count;
    bool same_camera; /* stood and looked the same on both days, as the coach says; not believed
                         where the court shows otherwise */
    sp_units units;   /* of the words */
} sp_compare_options;

typedef struct sp_comparison sp_comparison;

/* One change for each measure asked for, in the order of the catalogue. `options` may be NULL.
 * Nothing is kept but the readouts' notes, which are borrowed: the readouts must outlive it.
 * Errors: SP_ERROR_ARGUMENT a day without serves or of several views or hands, an unknown id;
 * SP_ERROR_MEMORY. */
sp_comparison *sp_comparison_new(const sp_day *before, const sp_day *after,
                                 const sp_compare_options *options, sp_error *error);
void sp_comparison_free(sp_comparison *comparison);

size_t sp_comparison_count(const sp_comparison *comparison);
const sp_change *sp_comparison_at(const sp_comparison *comparison, size_t index);
/* NULL when it was not asked for. */
const sp_change *sp_comparison_find(const sp_comparison *comparison, const char *id,
                                    const char *moment);
size_t sp_comparison_compared(const sp_comparison *comparison); /* how many were comparable */
/* What must be said with it: how many were compared at once, too few serves, the camera, other
 * names. */
size_t sp_comparison_caution_count(const sp_comparison *comparison);
const char *sp_comparison_caution_at(const sp_comparison *comparison, size_t index);

/* "changed", "these serves differ", "within error", "not comparable": for people. */
const char *sp_change_title(const sp_change *change);
/* "+3.1 cm (-0.4 to 6.6)"; "" where there is none. */
void sp_change_difference_text(const sp_change *change, sp_units units, char *text, size_t size);
/* "4.2 cm"; "" where there is none. */
void sp_change_detectable_text(const sp_change *change, sp_units units, char *text, size_t size);

/* `compare --json`; freed by the caller. */
char *sp_comparison_detach_json(const sp_comparison *comparison, const sp_day *before,
                                const sp_day *after, sp_error *error);

#endif
