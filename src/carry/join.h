/* Joins the two ways through a gap between taps into one, with its deviations.
 *
 * Model (own). A way followed from a tap starts with the tap's error and wanders on by itself; the
 * way from the other end does likewise. Weighed by the distance to the other tap they meet in a
 * bridge whose variance is the taps' own, weighed likewise, and that of two wanderings tied at both
 * ends (a Brownian bridge). How fast they wander is learned from how far they part in this gap.
 * That error is alike on neighbouring frames, so smoothing does not lessen it: it is kept apart
 * from the noise of single sightings, which smoothing does lessen, and added at the end. */
#ifndef SP_CARRY_JOIN_H
#define SP_CARRY_JOIN_H

#include "carry/follow.h"
#include "carry/smoother.h"

/* What a gap's frames tell: of each frame after the first tap and before the second. */
typedef struct {
    bool seen;
    sp_point at;
    double noise[3]; /* of this sighting alone */
    double alike;    /* variance that neighbours share, one coordinate */
} carry_joined;

/* forward[k] and backward[steps - k] belong to the k-th frame after the first tap; joined[0] to the
 * frame after it. `steps` is the number of frames from tap to tap. */
void carry_join(const carry_sighting *forward, const carry_sighting *backward, int steps,
                double first_sd, double second_sd, int radius, carry_joined *joined);
/* The k-th frame of a way that ends at no other tap. */
carry_joined carry_join_open(const carry_sighting *way, int k, double sd);

#endif
