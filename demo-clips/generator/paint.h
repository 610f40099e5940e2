/* Paints the figure and its shadow. */
#ifndef DEMO_PAINT_H
#define DEMO_PAINT_H

#include "sight.h"

void paint_shadow(cairo_t *cr, const sight *sight, const camera *camera);
void paint_figure(cairo_t *cr, const sight *sight, const camera *camera);

#endif
