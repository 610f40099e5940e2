/* Plane to plane by a homography, x' ~ H x. Source: Hartley and Zisserman, Multiple View Geometry
 * in Computer Vision, 2nd ed., algorithms 4.1 and 4.2 (normalized DLT; from memory, checked by
 * algebra and against OpenCV). */
#ifndef SP_GEOMETRY_HOMOGRAPHY_H
#define SP_GEOMETRY_HOMOGRAPHY_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/point.h"

#define SP_HOMOGRAPHY_PAIRS_MAX 32

typedef struct {
    double h[9]; /* row by row; of norm 1; its sign is open */
    double rms;  /* of sqrt(sum of squared distances / (2n - 8)), in units of `to`; NAN for n = 4 */
    /* Smallest over second smallest singular value: 0 for pairs that agree, near 1 for those that
     * determine nothing. */
    double separation;
} sp_homography;

/* From 4..SP_HOMOGRAPHY_PAIRS_MAX pairs. `refine`: least squares of the distances in `to`
 * (Levenberg-Marquardt) after the DLT. False when there are too few or too many, or when they
 * leave more than one homography open (points on a line, or one and the same). */
bool sp_homography_fit(const sp_point *from, const sp_point *to, size_t count, bool refine,
                       sp_homography *homography);
/* The image of a point; infinite or NAN when it goes to the line at infinity. */
sp_point sp_homography_apply(const double h[9], sp_point from);

#endif
