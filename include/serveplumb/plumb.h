/* The true vertical in the picture. */
#ifndef SERVEPLUMB_PLUMB_H
#define SERVEPLUMB_PLUMB_H

#include <stdbool.h>

#include "serveplumb/point.h"

/* `angle_deg` phi: the true up-direction in upright pixels is (sin phi, -cos phi); positive leans
 * to the right of the picture. `sd_deg` is its standard deviation. */
typedef struct {
    double angle_deg, sd_deg;
} sp_plumb;

/* Unit vectors in upright pixels. `right` is `up` turned 90 degrees clockwise as displayed. */
sp_point sp_plumb_up(double angle_deg);
sp_point sp_plumb_right(double angle_deg);

/* From two points tapped on something vertical (a post, a fence pole) or level (a net band, the
 * baseline in a view square to it). Order does not matter: the answer is the one within 90 (hang)
 * or 90 (level) degrees of the picture's own up. `sd_px` is the deviation of one coordinate of one
 * tap: sd of the angle = sqrt(2) sd_px / length. False when the two points coincide. */
bool sp_plumb_from_hang(sp_point a, sp_point b, double sd_px, sp_plumb *plumb);
bool sp_plumb_from_level(sp_point a, sp_point b, double sd_px, sp_plumb *plumb);

#endif
