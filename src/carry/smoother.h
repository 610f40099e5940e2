/* The motion of one point from uncertain sightings at uneven times: position, velocity and
 * acceleration, the acceleration wandering at random; a Kalman filter forward, then the smoother of
 * Rauch, Tung and Striebel (1965, from memory) backward. */
#ifndef SP_CARRY_SMOOTHER_H
#define SP_CARRY_SMOOTHER_H

#include <stddef.h>

#include "serveplumb/carry.h"

/* What is known at one time. */
typedef struct {
    double seconds;
    bool there;    /* a place */
    bool firm;     /* a tap: never doubted as a false sighting */
    bool broken;   /* the motion may break between the time before and this one */
    bool measured; /* a length from `partner` */
    sp_point at, partner;
    double cov[3]; /* of the place: xx, xy, yy */
    double length, length_sd;
} carry_evidence;

typedef struct {
    sp_point at;
    double cov[3];
    double surprise; /* squared distance of a sighting from what was expected, in its deviations */
} carry_smoothed;

/* `wander` is how fast the acceleration wanders: its variance grows by so much a second, px^2/s^5.
 * 0: the value that makes the sightings likeliest is looked for. At least one place must be there.
 */
bool carry_smooth(const carry_evidence *evidence, size_t count, double wander,
                  carry_smoothed *smoothed, sp_error *error);

#endif
