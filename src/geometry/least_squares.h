/* Nonlinear least squares by Levenberg and Marquardt (GSL's trust region with QR). */
#ifndef SP_GEOMETRY_LEAST_SQUARES_H
#define SP_GEOMETRY_LEAST_SQUARES_H

#include <stdbool.h>
#include <stddef.h>

#define SP_LEAST_SQUARES_PARAMETERS_MAX 9

/* Residuals at `parameters`, each already divided by its standard deviation, and their derivatives
 * row by row (residual i by parameter k at [i * parameter_count + k]). Either may be NULL. */
typedef void sp_residual_function(const double *parameters, const void *data, double *residuals,
                                  double *derivatives);

/* Improves `parameters` in place. `sum` gets the sum of squares left, `covariance` (may be NULL)
 * the inverse of J^T J, row by row. False when there are fewer residuals than parameters, when the
 * search does not settle, or when the residuals do not determine every parameter. */
bool sp_least_squares(sp_residual_function *function, const void *data, size_t residuals,
                      size_t parameter_count, double *parameters, double *sum, double *covariance);

#endif
