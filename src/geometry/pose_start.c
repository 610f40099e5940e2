/* Focal length and pose from one court homography in closed form. Zhang Z (2000) IEEE PAMI
 * 22:1330-1334, for square pixels and a known middle: with h1, h2 the columns of the homography
 * counted from the middle, r1.r2 = 0 and |r1| = |r2| are two equations for w = 1/f^2, solved
 * together by least squares. Either alone is 0/0 in some view: r1.r2 = 0 when looking along a line
 * of the court, the other when looking across at 45 degrees. */
#include <math.h>

#include <gsl/gsl_linalg.h>

#include "geometry/homography.h"
#include "geometry/matrix3.h"
#include "geometry/pose_fit.h"

/* Where the equations have no answer: from a wide lens to a long one, in units of the picture. */
static const double LENSES[] = {0.6, 1.0, 1.6, 3.0, 6.0};
#define LENS_COUNT (sizeof LENSES / sizeof LENSES[0])

/* Focal length in the homography's unit; NAN when the equations have none. */
static double focal_of(const double h[9]) {
    const double a1 = h[0] * h[1] + h[3] * h[4], b1 = h[6] * h[7];
    const double a2 = h[0] * h[0] + h[3] * h[3] - h[1] * h[1] - h[4] * h[4];
    const double b2 = h[6] * h[6] - h[7] * h[7];
    const double w = -(a1 * b1 + a2 * b2) / (a1 * a1 + a2 * a2);
    return w > 0 ? 1 / sqrt(w) : NAN;
}

/* Nearest rotation: U V^T of the singular value decomposition. */
static bool nearest_rotation(double r[9]) {
    double v[9], s[3], work[3];
    gsl_matrix_view a = gsl_matrix_view_array(r, 3, 3);
    gsl_matrix_view vectors = gsl_matrix_view_array(v, 3, 3);
    gsl_vector_view values = gsl_vector_view_array(s, 3);
    gsl_vector_view room = gsl_vector_view_array(work, 3);
    if (gsl_linalg_SV_decomp(&a.matrix, &vectors.matrix, &values.vector, &room.vector) !=
        GSL_SUCCESS)
        return false;
    double product[9];
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 0; j < 3; j++) product[3 * i + j] = sp_vector3_dot(r + 3 * i, v + 3 * j);
    for (int k = 0; k < 9; k++) r[k] = product[k];
    return true;
}

/* The homography's sign that puts most of the ground's places in front of the camera. */
static double forward_sign(const double h[9], const sp_point *ground, size_t count) {
    int ahead = 0;
    for (size_t i = 0; i < count; i++)
        ahead += h[6] * ground[i].x + h[7] * ground[i].y + h[8] > 0 ? 1 : -1;
    return ahead < 0 ? -1 : 1;
}

static bool camera_of(const double h[9], double sign, double focal, sp_camera *camera) {
    double columns[3][3];
    for (int j = 0; j < 3; j++) {
        columns[j][0] = h[j] / focal;
        columns[j][1] = h[3 + j] / focal;
        columns[j][2] = h[6 + j];
    }
    const double factor =
        sign * 2 / (sp_vector3_length(columns[0]) + sp_vector3_length(columns[1]));
    double up[3];
    sp_vector3_cross(columns[0], columns[1], up);
    for (size_t i = 0; i < 3; i++) {
        camera->rotation[3 * i] = factor * columns[0][i];
        camera->rotation[3 * i + 1] = factor * columns[1][i];
        camera->rotation[3 * i + 2] = factor * factor * up[i];
        camera->translation[i] = factor * columns[2][i];
    }
    return nearest_rotation(camera->rotation);
}

size_t sp_pose_starts(const sp_sight *sights, size_t count, sp_point centre, double unit_px,
                      const sp_lens_belief *belief, sp_camera starts[SP_POSE_STARTS_MAX]) {
    sp_point ground[SP_POSE_TAPS_MAX], seen[SP_POSE_TAPS_MAX];
    size_t used = 0;
    for (size_t i = 0; i < count; i++) {
        if (sights[i].at.z != 0) continue;
        ground[used] = (sp_point){sights[i].at.x, sights[i].at.y};
        seen[used++] = sp_point_times(sp_point_subtract(sights[i].seen, centre), 1 / unit_px);
    }
    sp_homography homography;
    if (!sp_homography_fit(ground, seen, used, true, &homography)) return 0;
    double lenses[SP_POSE_STARTS_MAX];
    size_t lens_count = 1;
    lenses[0] = isinf(belief->focal_sd) ? focal_of(homography.h) : belief->focal_px / unit_px;
    if (isnan(lenses[0]))
        for (lens_count = 0; lens_count < LENS_COUNT; lens_count++)
            lenses[lens_count] = LENSES[lens_count];
    const double sign = forward_sign(homography.h, ground, used);
    size_t made = 0;
    for (size_t i = 0; i < lens_count; i++) {
        sp_camera *start = &starts[made];
        if (!camera_of(homography.h, sign, lenses[i], start)) continue;
        start->focal_px = lenses[i] * unit_px;
        start->radial = belief->radial;
        start->centre = centre;
        made++;
    }
    return made;
}
