/* Angles, heights and distances on one frame. */
#include <math.h>

#include "readout/evidence.h"
#include "serveplumb/angle.h"

static const double DEGREES = 57.295779513082320876798;

static sp_point middle_of(const sp_point *pair) { return sp_point_middle(pair[0], pair[1]); }

/* Between two directions, 0..180. */
static double between(sp_point one, sp_point other) {
    return sp_angle_included(one, (sp_point){0, 0}, other);
}

double sp_find_included_angle(const sp_evidence *e) {
    return sp_angle_included(e->at[0], e->at[1], e->at[2]);
}

double sp_find_arm_elevation(const sp_evidence *e) {
    const sp_point arm = sp_point_subtract(e->at[1], e->at[0]);
    const sp_point shoulders = sp_point_middle(e->at[0], e->at[2]);
    return between(arm, sp_point_subtract(middle_of(e->at + 3), shoulders));
}

/* -90..90, whichever way the line points along the ground. */
static double above_level(sp_point way) {
    if (way.x == 0 && way.y == 0) return NAN;
    return atan2(way.y, fabs(way.x)) * DEGREES;
}

double sp_find_above_level(const sp_evidence *e) {
    return above_level(sp_point_subtract(e->at[1], e->at[0]));
}

double sp_find_angle_to_plumb(const sp_evidence *e) {
    return between(sp_point_subtract(e->at[1], e->at[0]), (sp_point){0, 1});
}

double sp_find_angle_between(const sp_evidence *e) {
    return between(sp_point_subtract(e->at[1], e->at[0]), sp_point_subtract(e->at[3], e->at[2]));
}

double sp_find_trunk_lean(const sp_evidence *e) {
    const sp_point trunk = sp_point_subtract(middle_of(e->at), middle_of(e->at + 2));
    if (trunk.x == 0 && trunk.y == 0) return NAN;
    return atan2(e->lean * trunk.x, trunk.y) * DEGREES;
}

double sp_find_tilt(const sp_evidence *e) {
    return above_level(sp_point_subtract(e->at[0], e->at[1]));
}

double sp_find_height(const sp_evidence *e) { return e->at[1].y - e->at[0].y; }

double sp_find_height_to_hips(const sp_evidence *e) { return e->at[0].y - middle_of(e->at + 1).y; }

double sp_find_gap_ratio(const sp_evidence *e) {
    double forearm = sp_point_distance(e->at[0], e->at[1]);
    for (size_t i = 0; i + 1 < e->path_count; i += 2)
        forearm = fmax(forearm, sp_point_distance(e->path[i].at, e->path[i + 1].at));
    return forearm > 0 ? (e->at[1].y - e->at[0].y) / forearm : NAN;
}

/* Distance from the body's edge, the line from hip to shoulder, to the hitting side. */
double sp_find_beside_body(const sp_evidence *e) {
    const sp_point edge = sp_point_subtract(e->at[0], e->at[1]);
    const double length = sp_point_length(edge);
    if (!(length > 0)) return NAN;
    return sp_point_cross(sp_point_subtract(e->at[2], e->at[1]), edge) / length;
}

double sp_find_beside_angle(const sp_evidence *e) {
    const sp_point down = sp_point_subtract(middle_of(e->at + 2), middle_of(e->at));
    return between(sp_point_subtract(e->at[5], e->at[4]), down);
}

/* Noise lengthens a distance: that of the taps, and that of the draws once more, each its square by
 * four times a coordinate's variance. */
double sp_find_distance(const sp_evidence *e) {
    const double seen = sp_point_distance(e->at[0], e->at[1]);
    return e->best ? seen : sqrt(fmax(0, seen * seen - 8 * e->noise * e->noise));
}

double sp_find_height_above_ground(const sp_evidence *e) { return e->at[0].y - e->ground.y; }

double sp_find_height_in_statures(const sp_evidence *e) {
    return (e->at[0].y - e->ground.y) / e->stature_m;
}

double sp_find_ahead_of_ground(const sp_evidence *e) { return e->at[0].x - e->ground.x; }
