/* Polynomials of a degree through both coordinates of a moving point at uneven times, each sample
 * with its own covariance: the path that the toss is fitted with. By singular values (GSL). */
#ifndef SP_KINEMATICS_TRAJECTORY_H
#define SP_KINEMATICS_TRAJECTORY_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/motion.h"

#define SP_TRAJECTORY_DEGREE_MAX 3
#define SP_TRAJECTORY_TERMS_MAX (2 * (SP_TRAJECTORY_DEGREE_MAX + 1))

/* Rows of the inverse lower triangle of a sample's covariance: whitened = (xx x, yx x + yy y). */
typedef struct {
    double xx, yx, yy;
} sp_whitening;

typedef struct {
    int degree;
    double t0; /* times are counted from here: coefficient 0 is the position at t0 */
    double x[SP_TRAJECTORY_DEGREE_MAX + 1], y[SP_TRAJECTORY_DEGREE_MAX + 1];
    /* Of x[0..degree], then y[0..degree], (A^T W A)^-1: for unit whitened noise. Element (i, j) at
     * [i * 2 (degree + 1) + j]. */
    double covariance[SP_TRAJECTORY_TERMS_MAX * SP_TRAJECTORY_TERMS_MAX];
    double sum;  /* of squared whitened residuals */
    int surplus; /* 2 count - 2 (degree + 1) */
} sp_trajectory;

/* `whitening` NULL: 1 for each coordinate. False when the samples are fewer than degree + 1, their
 * times do not determine the polynomial, or memory is out. */
bool sp_trajectory_fit(const sp_sample *samples, const sp_whitening *whitening, size_t count,
                       int degree, double t0, sp_trajectory *trajectory);
sp_point sp_trajectory_at(const sp_trajectory *trajectory, double time_s);

#endif
