/* Which frame is shown when. Pure numbers. */
#ifndef SP_DELIVER_REEL_PLAN_H
#define SP_DELIVER_REEL_PLAN_H

#include <stdbool.h>

#include "serveplumb/review.h"

/* Some players give up on a picture that stands still for long. */
#define SP_REEL_STAND_MAX_S 0.1
#define SP_REEL_RATE_MAX 60.0

typedef struct {
    int frame;
    double from_s, to_s; /* of the reel; the hold is its end */
    double hold_s;
    double clip_s; /* where its sound begins */
} sp_shot;

typedef struct {
    sp_shot *shots; /* freed by the caller */
    int count;
    int pictures;
    double duration_s;
} sp_reel_plan;

typedef struct {
    const double *times; /* of every frame of the clip, s */
    int frames;
    double end_s; /* of the last frame */
    int first, last;
    double pace; /* seconds of the reel for one of the clip */
    double hold_s;
    const sp_review *review;
} sp_reel_span;

/* False without memory. */
bool sp_reel_plan_make(const sp_reel_span *span, sp_reel_plan *plan);
/* How many pictures a shot is, all of the same length. */
int sp_shot_pictures(const sp_shot *shot);

#endif
