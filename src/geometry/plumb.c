#include "serveplumb/plumb.h"

#include <math.h>

static const double DEGREES = 57.295779513082320876798;

sp_point sp_plumb_up(double angle_deg) {
    const double phi = angle_deg / DEGREES;
    return (sp_point){sin(phi), -cos(phi)};
}

sp_point sp_plumb_right(double angle_deg) {
    const double phi = angle_deg / DEGREES;
    return (sp_point){cos(phi), sin(phi)};
}

static bool plumb_from_angle(double phi, double length, double sd_px, sp_plumb *plumb) {
    plumb->angle_deg = phi * DEGREES;
    plumb->sd_deg = sqrt(2) * sd_px / length * DEGREES;
    return true;
}

bool sp_plumb_from_hang(sp_point a, sp_point b, double sd_px, sp_plumb *plumb) {
    const sp_point top = a.y < b.y ? a : b;
    const sp_point foot = a.y < b.y ? b : a;
    const sp_point up = sp_point_subtract(top, foot);
    const double length = sp_point_length(up);
    if (!(length > 0)) return false;
    return plumb_from_angle(atan2(up.x, -up.y), length, sd_px, plumb);
}

bool sp_plumb_from_level(sp_point a, sp_point b, double sd_px, sp_plumb *plumb) {
    const sp_point left = a.x < b.x ? a : b;
    const sp_point right = a.x < b.x ? b : a;
    const sp_point along = sp_point_subtract(right, left);
    const double length = sp_point_length(along);
    if (!(length > 0)) return false;
    return plumb_from_angle(atan2(along.y, along.x), length, sd_px, plumb);
}
