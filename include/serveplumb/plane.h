/* The ground, and the vertical plane in which a player moves, seen by a camera whose pose is known.
 *
 * Picture: upright pixels (point.h). Ground: X, Y of the court frame (landmark.h). Plane: metres
 * from its foot point, x is `u` along its horizontal direction, y is `w`, the height above the
 * ground. Pure functions.
 *
 * Source: pinhole projection with one radial term (pose.h); the plane's map is the meeting of a
 * ray with it, the same as the homography K [R d | R e_z | R P0 + t] after the lens term is taken
 * off (derived; checked against that homography and OpenCV). */
#ifndef SERVEPLUMB_PLANE_H
#define SERVEPLUMB_PLANE_H

#include <stdbool.h>

#include "serveplumb/error.h"
#include "serveplumb/plumb.h"
#include "serveplumb/point.h"
#include "serveplumb/pose.h"

/* A ray that meets a plane at a smaller angle is refused: an error of depth then grows by the
 * cosecant, three times and more. */
#define SP_PLANE_ANGLE_MIN_DEG 20.0
/* The same for the ground, which is tapped on lines and feet only: a far line is seen flat, and the
 * jacobian says how badly it is known. */
#define SP_GROUND_ANGLE_MIN_DEG 1.0

/* Derivatives of the two coordinates given by the two taken: row of x, row of y. */
typedef struct {
    double xx, xy, yx, yy;
} sp_jacobian;

typedef struct {
    sp_camera camera;
    sp_point foot;      /* on the ground, court frame */
    sp_point direction; /* unit, court frame: (0, 1) toward the net, (1, 0) to the server's right */
} sp_plane;

/* Where on the ground a picture point lies: only for what is on the ground (feet, bounce, shadow,
 * lines). `jacobian` may be NULL. Errors: SP_ERROR_ARGUMENT above the horizon, at less than
 * SP_GROUND_ANGLE_MIN_DEG to the ground, or outside what the lens term allows. */
bool sp_ground_from_picture(const sp_camera *camera, sp_point at, sp_point *ground,
                            sp_jacobian *jacobian, sp_error *error);

/* `direction` is scaled to a unit. Errors: SP_ERROR_ARGUMENT when the foot point lies behind the
 * camera, or the camera looks along the plane (less than SP_PLANE_ANGLE_MIN_DEG at the foot). */
bool sp_plane_through(const sp_camera *camera, sp_point foot, sp_point direction, sp_plane *plane,
                      sp_error *error);
/* `jacobian` may be NULL in both. Errors: SP_ERROR_ARGUMENT where the ray meets the plane at less
 * than SP_PLANE_ANGLE_MIN_DEG, behind the camera, or outside what the lens term allows. */
bool sp_plane_from_picture(const sp_plane *plane, sp_point at, sp_point *in_plane,
                           sp_jacobian *jacobian, sp_error *error);
/* False where it is not seen. */
bool sp_plane_to_picture(const sp_plane *plane, sp_point in_plane, sp_point *at,
                         sp_jacobian *jacobian);

/* Metres of the plane per pixel around a point of it: square root of the area ratio. NAN where it
 * is not seen. */
double sp_plane_m_per_px(const sp_plane *plane, sp_point in_plane);
/* How true up in the plane is seen there (plumb.h), degrees; NAN where it is not seen. */
double sp_plane_plumb_deg(const sp_plane *plane, sp_point in_plane);
/* From the camera to a point of the plane, metres: an error of depth e there is a relative error of
 * length of e over this. */
double sp_plane_distance_m(const sp_plane *plane, sp_point in_plane);

#endif
