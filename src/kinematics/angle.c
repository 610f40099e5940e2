#include "serveplumb/angle.h"

#include <math.h>

#include "serveplumb/plumb.h"

static const double DEGREES = 57.295779513082320876798;

/* atan2 takes (0, 0) for an angle of 0; here it is none. */
static double direction(double across, double along) {
    return across == 0 && along == 0 ? NAN : atan2(across, along) * DEGREES;
}

double sp_angle_included(sp_point a, sp_point vertex, sp_point c) {
    const sp_point to_a = sp_point_subtract(a, vertex);
    const sp_point to_c = sp_point_subtract(c, vertex);
    return direction(fabs(sp_point_cross(to_a, to_c)), sp_point_dot(to_a, to_c));
}

double sp_angle_to_plumb(sp_point proximal, sp_point distal, double plumb_deg) {
    const sp_point along = sp_point_subtract(distal, proximal);
    return direction(sp_point_dot(along, sp_plumb_right(plumb_deg)),
                     sp_point_dot(along, sp_plumb_up(plumb_deg)));
}

double sp_height_above(sp_point top, sp_point bottom, double plumb_deg) {
    return sp_point_dot(sp_point_subtract(top, bottom), sp_plumb_up(plumb_deg));
}
