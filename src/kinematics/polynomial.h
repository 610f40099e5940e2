/* Least-squares polynomials, c0 + c1 t + c2 t^2 + ..., by orthogonal columns (Gram-Schmidt, each
 * column twice, which leaves no more than rounding; Giraud and others 2005, from memory). The
 * columns depend on the times alone, so they are made once and serve all coordinates. Written out
 * because a readout makes thousands of small fits; judged by NIST's certified ones. */
#ifndef SP_KINEMATICS_POLYNOMIAL_H
#define SP_KINEMATICS_POLYNOMIAL_H

#include <stdbool.h>
#include <stddef.h>

#define SP_POLYNOMIAL_DEGREE_MAX 3
#define SP_POLYNOMIAL_TERMS_MAX (SP_POLYNOMIAL_DEGREE_MAX + 1)
#define SP_POLYNOMIAL_SAMPLES_MAX 128
#define SP_POLYNOMIAL_ROWS_MAX (SP_POLYNOMIAL_SAMPLES_MAX + 1)

typedef struct {
    size_t count, terms; /* rows */
    double span;         /* times are divided by it, so that the columns are of one size */
    double q[SP_POLYNOMIAL_TERMS_MAX][SP_POLYNOMIAL_ROWS_MAX];  /* columns of length 1 */
    double r[SP_POLYNOMIAL_TERMS_MAX][SP_POLYNOMIAL_TERMS_MAX]; /* upper triangle */
} sp_polynomial;

/* `degree` 0..SP_POLYNOMIAL_DEGREE_MAX at `count` times, degree + 1 at least. False when there are
 * too few or too many, or too few different ones. */
bool sp_polynomial_prepare(sp_polynomial *polynomial, const double *times, size_t count,
                           int degree);
/* The same with one more equation, for what is known beforehand: weight times coefficient `term`.
 * Its value comes last in `values`, and its weight last of the weights. */
bool sp_polynomial_prepare_believing(sp_polynomial *polynomial, const double *times, size_t count,
                                     int degree, size_t term, double weight);
/* The terms' coefficients for `values` at those times. `residual_ss` (may be NULL) gets the sum of
 * squares of what is left. */
void sp_polynomial_solve(const sp_polynomial *polynomial, const double *values,
                         double coefficients[SP_POLYNOMIAL_TERMS_MAX], double *residual_ss);
/* The same for the two coordinates of a path, to the last bit. */
void sp_polynomial_solve_both(const sp_polynomial *polynomial, const double *x, const double *y,
                              double of_x[SP_POLYNOMIAL_TERMS_MAX],
                              double of_y[SP_POLYNOMIAL_TERMS_MAX]);
/* Coefficient `term` is the sum of the weighted values. */
void sp_polynomial_weights(const sp_polynomial *polynomial, size_t term, double *weights);
/* Standard deviation of coefficient `term` per unit standard deviation of a value. */
double sp_polynomial_gain(const sp_polynomial *polynomial, size_t term);
double sp_polynomial_at(const double coefficients[SP_POLYNOMIAL_TERMS_MAX], double time);

#endif
