/* What the tossed ball's fall tells of how far off it is. In the plane of motion of a court's pose
 * it falls with g when it flies in that plane, and seems to fall faster by as much as it is nearer
 * to the camera. A habit of players, known to 0.2 m, so becomes a measurement to some centimetres;
 * and the racquet meets the ball. */
#ifndef SP_READOUT_FALL_H
#define SP_READOUT_FALL_H

#include <stdbool.h>
#include <stddef.h>

#include "readout/door.h"

/* The ball's marks from release to contact, among the slots. */
typedef struct {
    size_t count; /* 0: they do not tell */
    int slots[SP_PATH_MAX];
    double sd_px; /* the largest of theirs */
} sp_fall;

/* Of the slots that are there. */
sp_fall sp_fall_find(const sp_door *door);

/* One look at it. `height`: as the plane shows the ball, metres, at `time_s` since it left the
 * hand. */
typedef struct {
    double time_s[SP_PATH_MAX], height[SP_PATH_MAX];
    size_t count;
    double noise_m;         /* of one height */
    double eye_m, away_m;   /* the camera's height, and how far it is from the plane */
    double near_m, per_s;   /* how much nearer the ball is as it leaves the hand; it comes nearer */
    double near_sd, per_sd; /* what both scatter by, before the fall is looked at */
    double chance;          /* standard normal: what else the fall is off by */
} sp_fall_look;

/* What to add to near_m and per_s, by least squares between what they scatter by and what the fall
 * scatters by (the update of a Kalman filter); `off`: how far apart the two are, in standard
 * deviations. False: nothing can be said. */
bool sp_fall_tell(const sp_fall_look *look, double *nearer_m, double *nearer_per_s, double *off);

/* Farther apart than this the fall is not believed: a slowdown that is not the clip's, or a ball
 * that was not in flight. */
#define SP_FALL_OFF_MAX 3.5

#endif
