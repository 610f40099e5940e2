/* What the two ways through a gap between taps are worth.
 *
 * Model (own). A way followed from a tap has the tap's error from its start and strays on by
 * itself, the more the farther the point has moved, since what moves turns, and shows another side;
 * the way from the other end does likewise. By how much is learned for each point from where its
 * ways end beside the other tap, and for each gap from how far its two ways part. */
#ifndef SP_CARRY_JOIN_H
#define SP_CARRY_JOIN_H

#include "carry/follow.h"
#include "carry/smoother.h"

/* One gap: forward[k] and backward[steps - k] belong to the k-th frame after the first tap, `steps`
 * frames before the second; expected[k] likewise. `second` NULL: a way that ends at no tap, and
 * may go back in time: then expected[-k]. */
typedef struct {
    const sp_carry_tap *first, *second;
    int steps, way;
    const carry_sighting *forward, *backward;
    const carry_smoothed *expected; /* at the first tap */
} carry_gap;

/* How much more than usual the ways of one point stray, from all its gaps. */
double carry_straying(const carry_gap *gaps, size_t count);
/* The gap's evidence on its frames after the first tap and, where there is a second, on that one's
 * frame; evidence[0] is the first of them in time. Times, breaks and lengths stay as they are. */
void carry_join(const carry_gap *gap, double straying, carry_evidence *evidence);

#endif
