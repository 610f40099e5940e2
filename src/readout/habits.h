/* Where the parts of a serving body are off the plane of motion: what nobody taps. */
#ifndef SP_READOUT_HABITS_H
#define SP_READOUT_HABITS_H

#include "readout/door.h"

/* Beside the feet's middle to the hitting side, ahead of it to the net. */
typedef struct {
    double beside, ahead;
} sp_depth;

/* How far off, with its scatter over players beside that of the whole body (stand.c); `share` of
 * the scatter of the point `on` is taken over from it: SP_POINT_BALL is the ball as it is met.
 * About contact a point also moves on, per second; the ball does so from the release on. */
typedef struct {
    sp_depth at_m, sd_m;
    sp_point_name on; /* SP_POINT_COUNT: it is alone */
    sp_depth share;
    sp_depth per_s, per_s_sd;
    sp_depth swings; /* per second more for each metre that the ball is met nearer than is usual */
    bool steady;     /* and moves so all the time that it is looked at */
} sp_habit;

/* From the release until the ball is met. */
#define SP_TOSS_S 0.74
/* Longer than this before contact a point no longer moves as it does then. */
#define SP_ABOUT_CONTACT_S 0.05

sp_habit sp_habit_of(const sp_door *door, const sp_slot *slot);
sp_habit sp_habit_in_drop(sp_point_name name);

/* Of a way in the world what leads to the camera; and of a scatter what lies along its sight. */
double sp_depth_toward(const sp_door *door, sp_depth way);
double sp_depth_spread(const sp_door *door, sp_depth sd);

#endif
