/* Points and directions in the plane. Inline: a readout takes millions of them.
 *
 * Upright pixels: after the display rotation and the sample aspect ratio are applied; x right,
 * y down, origin at the OUTER corner of the top-left pixel, so that a pixel's centre is at +0.5.
 * Plane coordinates: metres; x is `u` along the ground, y is `w`, the height, along the plumb. */
#ifndef SERVEPLUMB_POINT_H
#define SERVEPLUMB_POINT_H

#include <math.h>

typedef struct {
    double x, y;
} sp_point;

static inline sp_point sp_point_add(sp_point a, sp_point b) {
    return (sp_point){a.x + b.x, a.y + b.y};
}

static inline sp_point sp_point_subtract(sp_point a, sp_point b) {
    return (sp_point){a.x - b.x, a.y - b.y};
}

static inline sp_point sp_point_times(sp_point a, double factor) {
    return (sp_point){a.x * factor, a.y * factor};
}

static inline sp_point sp_point_middle(sp_point a, sp_point b) {
    return (sp_point){a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2};
}

static inline double sp_point_dot(sp_point a, sp_point b) { return a.x * b.x + a.y * b.y; }

/* a.x b.y - a.y b.x: with y down, positive when b lies clockwise of a as displayed. */
static inline double sp_point_cross(sp_point a, sp_point b) { return a.x * b.y - a.y * b.x; }

static inline double sp_point_length(sp_point a) { return hypot(a.x, a.y); }

static inline double sp_point_distance(sp_point a, sp_point b) {
    return sp_point_length(sp_point_subtract(a, b));
}

#endif
