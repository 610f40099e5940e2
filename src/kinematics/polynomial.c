#include "kinematics/polynomial.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>

#include "kinematics/numerics.h"

/* Below this ratio of the diagonal of R the columns count as dependent: the times do not determine
 * the polynomial (fewer different times than terms). Rounding leaves about 1e-16. */
static const double DEPENDENT = 1e-12;

static bool determined(const sp_polynomial *polynomial) {
    const double first = fabs(polynomial->qr[0]);
    for (size_t i = 1; i < polynomial->terms; i++)
        if (!(fabs(polynomial->qr[i * polynomial->terms + i]) > DEPENDENT * first)) return false;
    return first > 0;
}

static double greatest_size(const double *times, size_t count) {
    double size = 0;
    for (size_t i = 0; i < count; i++) size = fmax(size, fabs(times[i]));
    return size > 0 ? size : 1;
}

bool sp_polynomial_prepare(sp_polynomial *polynomial, const double *times, size_t count,
                           int degree) {
    assert(degree >= 0 && degree <= SP_POLYNOMIAL_DEGREE_MAX);
    const size_t terms = (size_t)degree + 1;
    if (count < terms || count > SP_POLYNOMIAL_SAMPLES_MAX) return false;
    sp_numerics_by_status();
    polynomial->count = count;
    polynomial->terms = terms;
    polynomial->span = greatest_size(times, count);
    for (size_t i = 0; i < count; i++) {
        double *row = polynomial->qr + i * terms;
        row[0] = 1;
        for (size_t k = 1; k < terms; k++) row[k] = row[k - 1] * times[i] / polynomial->span;
    }
    gsl_matrix_view matrix = gsl_matrix_view_array(polynomial->qr, count, terms);
    gsl_vector_view tau = gsl_vector_view_array(polynomial->tau, terms);
    return gsl_linalg_QR_decomp(&matrix.matrix, &tau.vector) == GSL_SUCCESS &&
           determined(polynomial);
}

bool sp_polynomial_solve(const sp_polynomial *polynomial, const double *values,
                         double coefficients[SP_POLYNOMIAL_TERMS_MAX], double *residual_ss) {
    const gsl_matrix_const_view matrix =
        gsl_matrix_const_view_array(polynomial->qr, polynomial->count, polynomial->terms);
    const gsl_vector_const_view tau =
        gsl_vector_const_view_array(polynomial->tau, polynomial->terms);
    const gsl_vector_const_view right = gsl_vector_const_view_array(values, polynomial->count);
    gsl_vector_view solution = gsl_vector_view_array(coefficients, polynomial->terms);
    double left[SP_POLYNOMIAL_SAMPLES_MAX];
    gsl_vector_view residual = gsl_vector_view_array(left, polynomial->count);
    if (gsl_linalg_QR_lssolve(&matrix.matrix, &tau.vector, &right.vector, &solution.vector,
                              &residual.vector) != GSL_SUCCESS)
        return false;
    for (size_t k = polynomial->terms; k < SP_POLYNOMIAL_TERMS_MAX; k++) coefficients[k] = 0;
    double power = 1;
    for (size_t k = 1; k < polynomial->terms; k++) {
        power *= polynomial->span;
        coefficients[k] /= power;
    }
    if (residual_ss != NULL) gsl_blas_ddot(&residual.vector, &residual.vector, residual_ss);
    return true;
}

/* Coefficients are R^-1 Q^T x, so their variance per unit variance is that of a row of R^-1, and
 * row k of R^-1 is the solution of R^T y = e_k. */
double sp_polynomial_gain(const sp_polynomial *polynomial, size_t term) {
    assert(term < polynomial->terms);
    double row[SP_POLYNOMIAL_TERMS_MAX] = {0};
    row[term] = 1;
    const gsl_matrix_const_view r =
        gsl_matrix_const_view_array(polynomial->qr, polynomial->terms, polynomial->terms);
    gsl_vector_view view = gsl_vector_view_array(row, polynomial->terms);
    if (gsl_blas_dtrsv(CblasUpper, CblasTrans, CblasNonUnit, &r.matrix, &view.vector) !=
        GSL_SUCCESS)
        return NAN;
    return gsl_blas_dnrm2(&view.vector) / pow(polynomial->span, (double)term);
}

double sp_polynomial_at(const double coefficients[SP_POLYNOMIAL_TERMS_MAX], double time) {
    double value = 0;
    for (size_t k = SP_POLYNOMIAL_TERMS_MAX; k-- > 0;) value = value * time + coefficients[k];
    return value;
}
