/* Follows one point from a tap, frame by frame in one direction. */
#ifndef SP_CARRY_FOLLOW_H
#define SP_CARRY_FOLLOW_H

#include "carry/patch.h"
#include "carry/smoother.h"

typedef struct {
    bool seen;
    sp_point at;
    double cov[3];   /* of this one sighting: xx, xy, yy, px^2 */
    double likeness; /* to the appearance it was compared with */
    int renewed;     /* how often the appearance was taken anew since the tap */
} carry_sighting;

typedef struct {
    carry_reel *reel;
    carry_look look;
    int radius;
    bool (*tell)(void *whom, double share); /* as sp_carry_job.progress; NULL: none */
    void *whom;
    double done, step; /* share done, and what one frame adds */
    /* Where the taps alone let the point be expected on frame expected_first and on; the walk looks
     * there and believes nothing far off. */
    const carry_smoothed *expected;
    int expected_first;
    /* From the same frame on: those that repeat the one before, and when each was taken. */
    const bool *again;
    const double *seconds;
    const carry_sighting *route; /* places that look like the point, where it moves far */
} carry_walk;

/* From `at` on frame `first` to frame `last` (before or after it): sightings[k] for the k-th frame
 * after `first`. The walk ends where the point is lost. */
bool carry_follow(carry_walk *walk, int first, sp_point at, int last, carry_sighting *sightings,
                  sp_error *error);

/* Counts one frame as done; SP_ERROR_CANCELLED when the person gives up. */
bool carry_walk_tell(carry_walk *walk, sp_error *error);

#endif
