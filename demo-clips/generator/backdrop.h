/* What lies beyond the court: sky, trees, floodlights and the fence. */
#ifndef DEMO_BACKDROP_H
#define DEMO_BACKDROP_H

#include "ink.h"

void backdrop_sky(cairo_t *cr, const camera *camera);
/* The fence around the grounds, with the floodlight masts behind it. */
void backdrop_fence(cairo_t *cr, const camera *camera, double side, double near, double far);

#endif
