/* Points of a review carried along its clip (carry.h): what is tapped is kept, what was carried
 * before is made anew, and the rest is filled in, marked `by: carry` with its own deviation.
 *
 * In three steps, so that the middle one can run in a thread of its own with a clip of its own: a
 * task takes from the review what it needs, runs on the clip, and is then put into the review. */
#ifndef SERVEPLUMB_REVIEW_CARRY_H
#define SERVEPLUMB_REVIEW_CARRY_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/clip.h"
#include "serveplumb/review.h"

typedef struct {
    sp_point_name point;
    int from, to;    /* frames; both -1: from the point's first tap to its last */
    double m_per_px; /* where the player is, for lengths that cannot change; 0: not known */
} sp_review_carry_options;

typedef struct sp_carry_task sp_carry_task;

/* `seconds` are the clip's own times (sp_clip_times), copied like all else. Errors:
 * SP_ERROR_ARGUMENT when no tap of the point is in reach, or the frames are not in the clip. */
sp_carry_task *sp_carry_task_new(const sp_review *review, const double *seconds,
                                 const sp_review_carry_options *options, sp_error *error);
void sp_carry_task_free(sp_carry_task *task);

/* In any thread, the clip's. Progress as in sp_carry_job; may be NULL. SP_ERROR_CANCELLED. */
bool sp_carry_task_run(sp_carry_task *task, sp_clip *clip,
                       bool (*progress)(void *whom, double share), void *whom, sp_error *error);

typedef struct {
    int seen, bridged, lost; /* frames */
    int changed;             /* edits that were made */
    int worst;               /* frame of the largest deviation, that a tap would help most; -1 */
    double worst_sd_px;
} sp_carry_summary;

/* One edit a point: frames that are tapped or guessed by now stay as they are. `summary` may be
 * NULL. */
bool sp_carry_task_apply(const sp_carry_task *task, sp_review *review, sp_carry_summary *summary,
                         sp_error *error);

/* Takes the carried points of one name off frames from..to; `count` (may be NULL) gets how many. */
bool sp_review_drop_carried(sp_review *review, sp_point_name point, int from, int to, size_t *count,
                            sp_error *error);
/* The carried frame between the taps about `frame` with the largest deviation; -1: none. */
int sp_review_doubtful_frame(const sp_review *review, sp_point_name point, int frame,
                             double *sd_px);

#endif
