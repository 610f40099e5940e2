/* The likeliest way from one tap to the next through places that look like the point: for motion so
 * large that the taps alone leave much open. On each frame some places are candidates, found
 * everywhere the taps allow, by the appearance at either tap; a way through them is the likelier,
 * the more they look like it and the less it accelerates (dynamic programming over pairs of
 * neighbouring frames; Bellman 1957, from memory). */
#ifndef SP_CARRY_ROUTE_H
#define SP_CARRY_ROUTE_H

#include "carry/follow.h"

/* A usual speed and acceleration, px/s and px/s^2. */
typedef struct {
    double speed, acceleration;
} carry_agility;

/* From tap a to tap b: route[k] for the k-th frame after a, `steps` frames in all; seen where the
 * way leads through a place that looks like the point. */
bool carry_route(carry_walk *walk, const sp_carry_tap *a, const sp_carry_tap *b,
                 const carry_agility *agility, carry_sighting *route, sp_error *error);

#endif
