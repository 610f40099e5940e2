/* Colours and paths shared by what is painted. */
#ifndef DEMO_INK_H
#define DEMO_INK_H

#include <stddef.h>
#include <stdint.h>

#include <cairo.h>

#include "camera.h"

typedef struct {
    double r, g, b;
} ink;

/* From 0xRRGGBB. */
ink ink_of(uint32_t rgb);
/* Toward white for share > 0, toward black for share < 0. */
ink ink_lit(ink colour, double share);
void ink_set(cairo_t *cr, ink colour, double alpha);

/* A path around a polygon in space: cut where it passes behind the camera, and bent by the lens. */
void ink_polygon(cairo_t *cr, const camera *camera, const vector *corners, size_t count);
/* An open path along a line in space. */
void ink_line(cairo_t *cr, const camera *camera, vector from, vector to);

#endif
