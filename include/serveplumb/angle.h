/* Angles in the picture plane. Degrees out; any length unit in. Pure functions. */
#ifndef SERVEPLUMB_ANGLE_H
#define SERVEPLUMB_ANGLE_H

#include "serveplumb/point.h"

/* Included angle at `vertex` between the rays to a and c: 0..180, 180 is straight. By atan2 of
 * |cross| and dot, never acos, which loses all precision near 0 and 180. NAN for a zero length. */
double sp_angle_included(sp_point a, sp_point vertex, sp_point c);

/* Direction of proximal -> distal against true up: 0 straight up, +90 horizontal toward `right`,
 * 180 straight down; -180..180. `plumb_deg` as in plumb.h. NAN for a zero length. */
double sp_angle_to_plumb(sp_point proximal, sp_point distal, double plumb_deg);

/* Height of `top` above `bottom` along the plumb, in the unit of the points (pixels: y down). */
double sp_height_above(sp_point top, sp_point bottom, double plumb_deg);

#endif
