#include "geometry/camera.h"

#include <math.h>
#include <string.h>

#include "geometry/lens.h"
#include "geometry/matrix3.h"

/* Nearer than this, and behind, a place is projected as if it were so near: the residual is huge
 * and finite, and the search turns back. */
static const double NEAREST_M = 0.01;

static void into_camera(const sp_camera *camera, sp_world place, double turned[3], double p[3]) {
    sp_matrix3_apply(camera->rotation, (const double[3]){place.x, place.y, place.z}, turned);
    for (int i = 0; i < 3; i++) p[i] = turned[i] + camera->translation[i];
}

bool sp_camera_project(const sp_camera *camera, sp_world place, sp_point *at) {
    double turned[3], p[3];
    into_camera(camera, place, turned, p);
    if (!(p[2] > 0)) return false;
    const sp_point straight = {p[0] / p[2], p[1] / p[2]};
    if (!sp_lens_reaches(camera->radial, straight)) return false;
    *at = sp_point_add(camera->centre,
                       sp_point_times(sp_lens_bend(camera->radial, straight), camera->focal_px));
    return true;
}

sp_world sp_camera_position(const sp_camera *camera) {
    double c[3];
    sp_matrix3_apply_transposed(camera->rotation, camera->translation, c);
    return (sp_world){-c[0], -c[1], -c[2]};
}

/* d(picture)/d(p): lens and focal length after the division by the depth. */
static void by_camera_place(const sp_camera *camera, sp_point x, double depth,
                            double jacobian[2][3]) {
    const double k = camera->radial, bend = 1 + k * sp_point_dot(x, x);
    const double lens[2][2] = {{bend + 2 * k * x.x * x.x, 2 * k * x.x * x.y},
                               {2 * k * x.x * x.y, bend + 2 * k * x.y * x.y}};
    const double divide[2][3] = {{1 / depth, 0, -x.x / depth}, {0, 1 / depth, -x.y / depth}};
    for (int i = 0; i < 2; i++)
        for (int j = 0; j < 3; j++)
            jacobian[i][j] =
                camera->focal_px * (lens[i][0] * divide[0][j] + lens[i][1] * divide[1][j]);
}

void sp_camera_derive(const sp_camera *camera, sp_world place, sp_projection *projection) {
    double turned[3], p[3];
    into_camera(camera, place, turned, p);
    projection->depth = p[2];
    const double depth = fmax(p[2], NEAREST_M);
    const sp_point x = {p[0] / depth, p[1] / depth};
    const sp_point out = sp_point_times(sp_lens_bend(camera->radial, x), camera->focal_px);
    projection->at = sp_point_add(camera->centre, out);
    double by_p[2][3];
    by_camera_place(camera, x, depth, by_p);
    const sp_point by_radial = sp_point_times(x, camera->focal_px * sp_point_dot(x, x));
    for (int i = 0; i < 2; i++) {
        double *row = projection->by_parameters[i];
        /* a small turn c moves p by c x turned */
        sp_vector3_cross(turned, by_p[i], row);
        memcpy(row + 3, by_p[i], sizeof by_p[i]);
        row[6] = i == 0 ? out.x : out.y;
        row[7] = i == 0 ? by_radial.x : by_radial.y;
        sp_matrix3_apply_transposed(camera->rotation, by_p[i], projection->by_place[i]);
    }
}

sp_camera sp_camera_changed(const sp_camera *camera, const double change[SP_POSE_PARAMETERS]) {
    sp_camera changed = *camera;
    double turn[9];
    sp_turn_matrix(change, turn);
    sp_matrix3_multiply(turn, camera->rotation, changed.rotation);
    for (int i = 0; i < 3; i++) changed.translation[i] += change[3 + i];
    changed.focal_px *= exp(change[6]);
    changed.radial += change[7];
    return changed;
}

bool sp_camera_ray(const sp_camera *camera, sp_point at, double direction[3]) {
    const sp_point bent =
        sp_point_times(sp_point_subtract(at, camera->centre), 1 / camera->focal_px);
    sp_point straight;
    if (!sp_lens_straighten(camera->radial, bent, &straight)) return false;
    sp_matrix3_apply_transposed(camera->rotation, (const double[3]){straight.x, straight.y, 1},
                                direction);
    return true;
}
