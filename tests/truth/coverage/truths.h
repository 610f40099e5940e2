/* The exact values of the measures in a simulated serve. Where a picture hides a part, the truth is
 * that of the plane of motion: lengths and speeds as they are in it, angles as they are seen. */
#ifndef COVERAGE_TRUTHS_H
#define COVERAGE_TRUTHS_H

#include "tapping.h"

enum { TRUTHS_MAX = 64 };

typedef struct {
    const char *id, *moment;
    double value;
} truth;

/* Of the racquet's tip at the touch, as the camera casts it on the plane of motion. */
double truths_cast_speed(const scene *scene);

/* `by_court`: angles as the camera casts the points on the plane of motion, else as a level camera
 * of the same place sees them. Always the same rows in the same order; returns how many. */
int truths_of(const scene *scene, const tapping *tapping, bool by_court, truth list[TRUTHS_MAX]);

#endif
