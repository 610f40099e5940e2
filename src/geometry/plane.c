#include "serveplumb/plane.h"

#include <math.h>

#include "geometry/camera.h"
#include "geometry/matrix3.h"

static const double DEGREES = 57.295779513082320876798;

typedef struct {
    double origin[3], normal[3]; /* of length 1 */
} surface;

static double component(sp_world at, int axis) {
    return axis == 0 ? at.x : axis == 1 ? at.y : at.z;
}

/* What the ray through `at` meets. `angle_deg` is between ray and surface. */
static bool meet(const sp_camera *camera, const surface *what, sp_point at, double met[3],
                 double *angle_deg, bool *ahead) {
    double ray[3], from[3];
    if (!sp_camera_ray(camera, at, ray)) return false;
    const sp_world position = sp_camera_position(camera);
    for (int i = 0; i < 3; i++) from[i] = what->origin[i] - component(position, i);
    const double across = sp_vector3_dot(ray, what->normal);
    const double distance = sp_vector3_dot(from, what->normal) / across;
    *angle_deg = asin(fmin(1, fabs(across) / sp_vector3_length(ray))) * DEGREES;
    *ahead = distance > 0 && isfinite(distance);
    for (int i = 0; i < 3; i++) met[i] = component(position, i) + distance * ray[i];
    return true;
}

/* Never singular where a ray meets the surface at an angle. */
static sp_jacobian inverse_of(sp_jacobian j) {
    const double area = j.xx * j.yy - j.xy * j.yx;
    return (sp_jacobian){j.yy / area, -j.xy / area, -j.yx / area, j.xx / area};
}

/* Derivative of the picture point by steps along two directions of the court frame. */
static sp_jacobian along(const sp_camera *camera, sp_world at, const double first[3],
                         const double second[3]) {
    sp_projection seen;
    sp_camera_derive(camera, at, &seen);
    return (sp_jacobian){
        sp_vector3_dot(seen.by_place[0], first), sp_vector3_dot(seen.by_place[0], second),
        sp_vector3_dot(seen.by_place[1], first), sp_vector3_dot(seen.by_place[1], second)};
}

static bool outside_lens(sp_error *error) {
    return sp_fail(error, SP_ERROR_ARGUMENT,
                   "the point lies outside what the lens shows by its fitted curve; take a point "
                   "nearer to the picture's middle");
}

/* --- ground ---------------------------------------------------------------------------------- */

static const double TO_X[3] = {1, 0, 0}, TO_Y[3] = {0, 1, 0}, TO_Z[3] = {0, 0, 1};

bool sp_ground_from_picture(const sp_camera *camera, sp_point at, sp_point *ground,
                            sp_jacobian *jacobian, sp_error *error) {
    const surface court = {{0, 0, 0}, {0, 0, 1}};
    double met[3], angle;
    bool ahead;
    if (!meet(camera, &court, at, met, &angle, &ahead)) return outside_lens(error);
    if (!ahead)
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "the point lies above the horizon, so it is not on the ground; tap where the "
            "foot or the ball touches the court");
    if (angle < SP_GROUND_ANGLE_MIN_DEG)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the ground is seen too flat there (%.1f degrees) to tell where it is; film "
                       "from higher",
                       angle);
    *ground = (sp_point){met[0], met[1]};
    if (jacobian != NULL)
        *jacobian = inverse_of(along(camera, (sp_world){met[0], met[1], 0}, TO_X, TO_Y));
    return true;
}

/* --- the plane ------------------------------------------------------------------------------- */

static surface surface_of(const sp_plane *plane) {
    return (surface){{plane->foot.x, plane->foot.y, 0},
                     {plane->direction.y, -plane->direction.x, 0}};
}

static sp_world place_of(const sp_plane *plane, sp_point in_plane) {
    return (sp_world){plane->foot.x + in_plane.x * plane->direction.x,
                      plane->foot.y + in_plane.x * plane->direction.y, in_plane.y};
}

static sp_jacobian along_plane(const sp_plane *plane, sp_point in_plane) {
    const double direction[3] = {plane->direction.x, plane->direction.y, 0};
    return along(&plane->camera, place_of(plane, in_plane), direction, TO_Z);
}

static bool too_flat(double angle, sp_error *error) {
    return sp_fail(
        error, SP_ERROR_ARGUMENT,
        "the camera looks along the plane of motion (%.0f degrees, %.0f needed), so "
        "lengths in it cannot be had; film from the side for motion toward the net, from "
        "behind for motion across",
        angle, SP_PLANE_ANGLE_MIN_DEG);
}

bool sp_plane_through(const sp_camera *camera, sp_point foot, sp_point direction, sp_plane *plane,
                      sp_error *error) {
    const double length = sp_point_length(direction);
    if (!(length > 0) || !isfinite(length) || !isfinite(foot.x) || !isfinite(foot.y))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the plane of motion needs a foot point and a direction along the ground");
    *plane = (sp_plane){*camera, foot, sp_point_times(direction, 1 / length)};
    sp_point seen;
    if (!sp_plane_to_picture(plane, (sp_point){0, 0}, &seen, NULL))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the foot point lies behind the camera; check the landmarks and the foot");
    sp_point origin;
    return sp_plane_from_picture(plane, seen, &origin, NULL, error);
}

bool sp_plane_from_picture(const sp_plane *plane, sp_point at, sp_point *in_plane,
                           sp_jacobian *jacobian, sp_error *error) {
    const surface what = surface_of(plane);
    double met[3], angle;
    bool ahead;
    if (!meet(&plane->camera, &what, at, met, &angle, &ahead)) return outside_lens(error);
    if (angle < SP_PLANE_ANGLE_MIN_DEG) return too_flat(angle, error);
    if (!ahead)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the point is not in the plane of motion: it would be behind the camera");
    in_plane->x = (met[0] - plane->foot.x) * plane->direction.x +
                  (met[1] - plane->foot.y) * plane->direction.y;
    in_plane->y = met[2];
    if (jacobian != NULL) *jacobian = inverse_of(along_plane(plane, *in_plane));
    return true;
}

bool sp_plane_to_picture(const sp_plane *plane, sp_point in_plane, sp_point *at,
                         sp_jacobian *jacobian) {
    if (!sp_camera_project(&plane->camera, place_of(plane, in_plane), at)) return false;
    if (jacobian != NULL) *jacobian = along_plane(plane, in_plane);
    return true;
}

double sp_plane_m_per_px(const sp_plane *plane, sp_point in_plane) {
    sp_point at;
    sp_jacobian j;
    if (!sp_plane_to_picture(plane, in_plane, &at, &j)) return NAN;
    return 1 / sqrt(fabs(j.xx * j.yy - j.xy * j.yx));
}

double sp_plane_plumb_deg(const sp_plane *plane, sp_point in_plane) {
    sp_point at;
    sp_jacobian j;
    if (!sp_plane_to_picture(plane, in_plane, &at, &j)) return NAN;
    return atan2(j.xy, -j.yy) * DEGREES;
}

double sp_plane_distance_m(const sp_plane *plane, sp_point in_plane) {
    const sp_world place = place_of(plane, in_plane);
    const sp_world from = sp_camera_position(&plane->camera);
    return hypot(hypot(place.x - from.x, place.y - from.y), place.z - from.z);
}
