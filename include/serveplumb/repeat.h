/* How well a coach taps: the same frames of one clip tapped twice, the second time blind.
 *
 * The second tapping is a review of its own, of the same clip: sp_repeat_twin() gives one with the
 * moments and no point, to be tapped in the window like any other. Nothing of the first is shown in
 * it; the first is not touched.
 *
 * Typical error of a coordinate = standard deviation of the differences / sqrt 2 (Hopkins 2000,
 * Sports Med 30:1-15), the mean difference of a point and axis taken off; its 95 % interval by
 * chi-squared on the degrees of freedom, pairs - 1 for each axis of each point. It tells of tapping
 * alone: not of another coach, nor of another serve. */
#ifndef SERVEPLUMB_REPEAT_H
#define SERVEPLUMB_REPEAT_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/interval.h"
#include "serveplumb/review.h"

/* Points that both tappings hold on one frame, of which the second says most about chance. */
#define SP_REPEAT_PAIRS_MIN 3

typedef struct {
    size_t pairs;
    int freedom;               /* degrees, both axes */
    sp_interval typical_px;    /* NAN under two pairs */
    sp_point shift_px;         /* mean of second less first; NAN without a pair */
    double farthest_px;        /* of one pair */
    int farthest_frame;        /* -1 without a pair */
    sp_point_name farthest_of; /* the point */
} sp_repeat_error;

typedef struct {
    sp_repeat_error points[SP_POINT_COUNT];
    sp_repeat_error pooled; /* without a shift of its own: NAN */
    char doubt[240]; /* a pair so far apart that one of the two seems to be another point; or "" */
} sp_repeat;

/* The typical error of `count` differences of one or more groups: `squares` is the sum of squares
 * about each group's mean, `freedom` the differences less the groups. NAN when freedom < 1. */
sp_interval sp_repeat_typical(double squares, int freedom);

/* Marks by tap on the same frames. Errors: SP_ERROR_MISMATCH when the two are not of one clip;
 * SP_ERROR_ARGUMENT when fewer than SP_REPEAT_PAIRS_MIN pairs of a point can be compared. */
bool sp_repeat_compare(const sp_review *first, const sp_review *second, sp_repeat *repeat,
                       sp_error *error);

/* A review of the same clip, player, view and moments, without a point or a scale; the caller frees
 * it. */
sp_review *sp_repeat_twin(const sp_review *review, sp_error *error);

/* Where the second tapping of a review lies: "serve.review.json" has it in
 * "serve.again.review.json". Fails when the name is too long, or is that of a second tapping. */
bool sp_repeat_twin_path(const char *path, char *twin, size_t size, sp_error *error);

/* For programs: the figures above as JSON, freed by the caller; the names stand as given. */
char *sp_repeat_detach_json(const sp_repeat *repeat, const char *first_name,
                            const char *second_name, sp_error *error);

#endif
