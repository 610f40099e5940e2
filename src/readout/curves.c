#include <math.h>

#include "readout/door.h"
#include "serveplumb/curve.h"

enum { ABOUT = 2, RUN = 2 * ABOUT + 1 };

/* The path from first to first + RUN - 1, if the tip is marked on all of it. */
static bool take_run(const sp_door *door, int first, sp_sample run[RUN]) {
    const sp_review_clip *clip = door->clip;
    for (int i = 0; i < RUN; i++) {
        const int frame = first + i;
        sp_mark mark;
        if (frame < 0 || frame >= door->times.count ||
            !sp_review_mark(door->review, frame, SP_POINT_RACQUET_TIP, &mark))
            return false;
        const double row_s = mark.at.y / clip->height * clip->row_time_s;
        run[i] = (sp_sample){sp_door_time(door, frame) + row_s, mark.at};
    }
    return true;
}

static double tip_speed(const sp_door *door, int frame) {
    const int contact = door->moments[SP_AT_CONTACT];
    const bool before = contact >= 0 && frame <= contact && frame + ABOUT > contact;
    const bool after = contact >= 0 && frame > contact && frame - ABOUT <= contact;
    if (after || (before && frame != contact)) return NAN;
    sp_sample run[RUN];
    const int first = before ? contact - RUN + 1 : frame - ABOUT;
    if (!take_run(door, first, run)) return NAN;
    double speed;
    return sp_motion_speed_along(run, RUN, 2, run[frame - first].time_s, &speed) ? speed : NAN;
}

static double gap(const sp_door *door, int frame) {
    const sp_review *review = door->review;
    const sp_hand hand = door->hand;
    sp_mark elbow, top;
    if (!sp_review_mark(review, frame, sp_point_for_hand(SP_POINT_RIGHT_ELBOW, hand), &elbow))
        return NAN;
    if (!sp_review_mark(review, frame, sp_point_for_hand(SP_POINT_RIGHT_HAND, hand), &top) &&
        !sp_review_mark(review, frame, sp_point_for_hand(SP_POINT_RIGHT_WRIST, hand), &top))
        return NAN;
    const sp_point up = sp_plumb_up(sp_review_get_plumb(review)->angle_deg);
    return sp_point_dot(sp_point_subtract(top.at, elbow.at), up);
}

size_t sp_curve_fill(const sp_review *review, sp_frame_times times, sp_curve which,
                     double *values) {
    sp_door door;
    sp_door_open(&door, review, times);
    size_t count = 0;
    for (int i = 0; i < times.count; i++) {
        values[i] = which == SP_CURVE_TIP_SPEED ? tip_speed(&door, i) : gap(&door, i);
        if (!isnan(values[i])) count++;
    }
    sp_door_close(&door);
    return count;
}
