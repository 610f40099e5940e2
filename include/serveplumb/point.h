/* Points and directions in the plane.
 *
 * Upright pixels: after the display rotation and the sample aspect ratio are applied; x right,
 * y down, origin at the OUTER corner of the top-left pixel, so that a pixel's centre is at +0.5.
 * Plane coordinates: metres; x is `u` along the ground, y is `w`, the height, along the plumb. */
#ifndef SERVEPLUMB_POINT_H
#define SERVEPLUMB_POINT_H

typedef struct {
    double x, y;
} sp_point;

sp_point sp_point_add(sp_point a, sp_point b);
sp_point sp_point_subtract(sp_point a, sp_point b);
sp_point sp_point_times(sp_point a, double factor);
sp_point sp_point_middle(sp_point a, sp_point b);
double sp_point_dot(sp_point a, sp_point b);
/* a.x b.y - a.y b.x: with y down, positive when b lies clockwise of a as displayed. */
double sp_point_cross(sp_point a, sp_point b);
double sp_point_length(sp_point a);
double sp_point_distance(sp_point a, sp_point b);

#endif
