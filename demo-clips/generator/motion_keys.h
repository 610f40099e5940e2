/* The keyed poses, one row of keys per channel: degrees, and metres of a player of 1.82 m. */
#ifndef DEMO_MOTION_KEYS_H
#define DEMO_MOTION_KEYS_H

#include "spline.h"

#define KEYS_STATURE_M 1.82

/* Rows in the order of the channels. */
extern const struct key_row {
    size_t count;
    spline_key keys[SPLINE_KEYS_MAX];
} motion_keys[];

#endif
