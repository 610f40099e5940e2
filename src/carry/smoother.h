/* The motion of one point from uncertain sightings at uneven times: position, velocity and
 * acceleration, the acceleration wandering at random; a Kalman filter forward, then the smoother of
 * Rauch, Tung and Striebel (1965, from memory) backward.
 *
 * A sighting errs in two ways: by noise of its own, and by what it shares with all that were
 * followed from the same tap: the tap's own error, and how far the way has strayed from it. The
 * shared errors of the two ways through a gap are a part of the state. So sightings tell the shape
 * of a way better than its place, and many of them do not make a place surer than the taps. */
#ifndef SP_CARRY_SMOOTHER_H
#define SP_CARRY_SMOOTHER_H

#include <stddef.h>

#include "serveplumb/carry.h"

typedef struct {
    bool there;
    sp_point at;
    double cov[3]; /* by itself: xx, xy, yy */
} carry_place;

/* What is known at one time. The way from the tap before has the shared error `first`, that from
 * the tap after `second`; a tap has `second`, which is its own error there. */
typedef struct {
    double seconds;
    carry_place first, second;
    bool tap;      /* `second` is one: never doubted as a false sighting */
    bool broken;   /* the motion may break between the time before and this one */
    bool measured; /* no farther than `length` from `partner` */
    sp_point partner;
    double length, length_sd;
    /* How the shared errors come from those of the time before: first = (begins ? second : first) +
     * noise of variance first_noise; second = kept * second + noise of variance second_noise. */
    bool begins;
    double first_noise, kept, second_noise;
} carry_evidence;

typedef struct {
    sp_point at;
    double cov[3];
} carry_smoothed;

/* How fast the acceleration wanders: its variance grows by 10^power a second, px^2/s^5. What is
 * known of the power before the sightings tell more. */
typedef struct {
    double power, power_sd;
} carry_wander;

/* At least one place must be there. The wander is the likeliest one. */
bool carry_smooth(const carry_evidence *evidence, size_t count, carry_wander wander,
                  carry_smoothed *smoothed, sp_error *error);

#endif
