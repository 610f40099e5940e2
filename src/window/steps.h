/* What comes next, from what the review holds. The sheet says it; nothing else decides it. */
#ifndef SP_WINDOW_STEPS_H
#define SP_WINDOW_STEPS_H

#include "window/session.h"

typedef enum {
    STEP_OPEN,
    STEP_RELINK, /* the clip has another name now */
    STEP_WHO,
    STEP_SPEED,  /* real time, or slow motion? */
    STEP_MOMENT, /* `moment`: name it */
    STEP_GO,     /* `moment`: points are missing there; go to `frame` */
    STEP_POINT,  /* `point`: tap it on the frame shown */
    STEP_SCALE,
    STEP_READ,
} step_kind;

typedef struct {
    step_kind kind;
    int moment; /* index of moment_kind_at */
    int frame;
    sp_point_name point;
} step;

/* `frame` is the one shown. */
step step_next(const session *s, int frame);
/* The points asked for at the moment on `frame`, in order: those that the checks of this view need.
 * 0 when it is no moment. */
size_t step_points(const session *s, int frame, sp_point_name points[SP_POINT_COUNT]);
/* Those that only more measures need. */
size_t step_more_points(const session *s, int frame, sp_point_name points[SP_POINT_COUNT]);
/* Every moment that the view's measures are taken at has its frame. */
bool steps_moments_named(const session *s);
/* Takes a point off the list of what is due on `frame`, or puts it back. */
void step_skip(session *s, int frame, sp_point_name point, bool skip);
bool step_skipped(const session *s, int frame, sp_point_name point);
/* How many of them are tapped. */
size_t step_points_done(const session *s, int frame);
/* How many are neither tapped nor left out, and the place of the next among all, from 1. */
size_t step_points_due(const session *s, int frame);
size_t step_point_number(const session *s, int frame);

#endif
