/* Least-squares polynomials, c0 + c1 t + c2 t^2 + ..., by Householder QR (GSL). The matrix depends
 * on the times alone, so it is decomposed once and serves all coordinates. */
#ifndef SP_KINEMATICS_POLYNOMIAL_H
#define SP_KINEMATICS_POLYNOMIAL_H

#include <stdbool.h>
#include <stddef.h>

#define SP_POLYNOMIAL_DEGREE_MAX 3
#define SP_POLYNOMIAL_TERMS_MAX (SP_POLYNOMIAL_DEGREE_MAX + 1)
#define SP_POLYNOMIAL_SAMPLES_MAX 128

typedef struct {
    size_t count, terms;
    double span; /* times are divided by it, so that the columns are of one size */
    double qr[SP_POLYNOMIAL_SAMPLES_MAX * SP_POLYNOMIAL_TERMS_MAX];
    double tau[SP_POLYNOMIAL_TERMS_MAX];
} sp_polynomial;

/* `degree` 0..SP_POLYNOMIAL_DEGREE_MAX at `count` times, degree + 1 at least. False when there are
 * too few or too many, or too few different ones. */
bool sp_polynomial_prepare(sp_polynomial *polynomial, const double *times, size_t count,
                           int degree);
/* The terms' coefficients for `values` at those times. `residual_ss` (may be NULL) gets the sum of
 * squares of what is left. */
bool sp_polynomial_solve(const sp_polynomial *polynomial, const double *values,
                         double coefficients[SP_POLYNOMIAL_TERMS_MAX], double *residual_ss);
/* Standard deviation of coefficient `term` per unit standard deviation of a value. */
double sp_polynomial_gain(const sp_polynomial *polynomial, size_t term);
double sp_polynomial_at(const double coefficients[SP_POLYNOMIAL_TERMS_MAX], double time);

#endif
