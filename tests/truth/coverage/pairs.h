/* Two days of one simulated player, compared. */
#ifndef COVERAGE_PAIRS_H
#define COVERAGE_PAIRS_H

#include "scene.h"

typedef struct {
    int pairs, serves; /* serves a day */
    uint64_t seed;
    double wobble; /* from serve to serve, as a share of what players differ among themselves */
    fixed set;
    bool same_camera, court;
    double most, least; /* percent: false changes at most, true ones found at least */
} pairs_options;

/* Prints how often a change is seen where there is none, and where there is one of twice the
 * detectable. False outside the limits. */
bool pairs_study(const pairs_options *options);

#endif
