/* The ball: small, round and fast, so that no window on it can be followed. On each frame it is a
 * spot that differs from the frames before and after, near the place where free flight lets it be
 * expected; where it is found, its neighbours are expected the better. */
#ifndef SP_CARRY_BALL_H
#define SP_CARRY_BALL_H

#include "carry/follow.h"

/* Fills `first` of the evidence of frames first..first + count - 1 where the ball is seen; taps,
 * times and the break at contact are there already. `smoothed` gets its way. */
bool carry_ball(carry_walk *walk, const carry_backdrop *backdrop, int first, size_t count,
                carry_evidence *evidence, carry_smoothed *smoothed, sp_error *error);

#endif
