/* All that stands still: an evening at an invented club. */
#ifndef DEMO_SCENE_H
#define DEMO_SCENE_H

#include "ink.h"

/* A coach's two tape crosses on the ground, `apart_m` from each other along the plane of motion
 * (0: none), the rear one first. */
typedef struct {
    double apart_m;
    vector rear, front;
} tape;

tape scene_tape(double apart_m, vector stance);
void scene_paint(cairo_t *cr, const camera *camera, const tape *tape);

#endif
