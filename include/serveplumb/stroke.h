/* A line drawn by hand, as points in order. Pure; any unit of length. */
#ifndef SERVEPLUMB_STROKE_H
#define SERVEPLUMB_STROKE_H

#include <stddef.h>

#include "serveplumb/point.h"

/* Leaves out, in place, the points that lie nearer than `tolerance` to the line between their
 * neighbours that stay (Ramer 1972; Douglas and Peucker 1973, from memory). First and last stay.
 * Gives how many are left. */
size_t sp_stroke_thin(sp_point *points, size_t count, double tolerance);

/* Pieces of a smoothed stroke between two of its points. */
#define SP_STROKE_PIECES 8
#define sp_stroke_smooth_count(count) ((count) < 3 ? (count) : ((count)-1) * SP_STROKE_PIECES + 1)
/* The stroke without its corners: the uniform quadratic B-spline of the points, which begins and
 * ends where they do. Fills sp_stroke_smooth_count(count) points. */
void sp_stroke_smooth(const sp_point *points, size_t count, sp_point *smooth);

double sp_stroke_length(const sp_point *points, size_t count);
/* The first `share` (0 to 1) of its length, in place. Gives how many points that is, at least 1. */
size_t sp_stroke_cut(sp_point *points, size_t count, double share);
/* From a place to the nearest of the stroke. */
double sp_stroke_distance(const sp_point *points, size_t count, sp_point at);

#endif
