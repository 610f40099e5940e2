#include "geometry/least_squares.h"

#include <assert.h>
#include <math.h>

#include <gsl/gsl_blas.h>
#include <gsl/gsl_multifit_nlinear.h>

#include "geometry/numerics.h"

#define STEPS_MAX 200
static const double SETTLED = 1e-13;

typedef struct {
    sp_residual_function *function;
    const void *data;
} task;

/* GSL's vectors and matrices here are its own allocations, packed without gaps. */
static int residuals_of(const gsl_vector *parameters, void *params, gsl_vector *residuals) {
    const task *work = params;
    work->function(parameters->data, work->data, residuals->data, NULL);
    return GSL_SUCCESS;
}

static int derivatives_of(const gsl_vector *parameters, void *params, gsl_matrix *derivatives) {
    const task *work = params;
    assert(derivatives->tda == derivatives->size2);
    work->function(parameters->data, work->data, NULL, derivatives->data);
    return GSL_SUCCESS;
}

static bool determined(const gsl_matrix *covariance) {
    for (size_t k = 0; k < covariance->size1; k++) {
        const double variance = gsl_matrix_get(covariance, k, k);
        if (!(variance > 0) || !isfinite(variance)) return false;
    }
    return true;
}

static bool take_covariance(gsl_multifit_nlinear_workspace *search, size_t count, double *to) {
    gsl_matrix_view matrix = gsl_matrix_view_array(to, count, count);
    /* Columns dependent to within 1e-12 get no variance: that parameter is not determined. */
    return gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(search), 1e-12, &matrix.matrix) ==
               GSL_SUCCESS &&
           determined(&matrix.matrix);
}

static bool search_from(gsl_multifit_nlinear_workspace *search, gsl_multifit_nlinear_fdf *fdf,
                        double *parameters, double *sum, double *covariance) {
    const gsl_vector_view start = gsl_vector_view_array(parameters, fdf->p);
    if (gsl_multifit_nlinear_init(&start.vector, fdf, search) != GSL_SUCCESS) return false;
    int why = 0;
    const int status =
        gsl_multifit_nlinear_driver(STEPS_MAX, SETTLED, SETTLED, 0, NULL, NULL, &why, search);
    /* No further progress: the residuals are down to rounding. In the very first step the driver
     * gives that as its reason only. */
    if (status != GSL_SUCCESS && status != GSL_ENOPROG && why != GSL_ENOPROG) return false;
    const gsl_vector *position = gsl_multifit_nlinear_position(search);
    for (size_t k = 0; k < fdf->p; k++) parameters[k] = gsl_vector_get(position, k);
    const gsl_vector *left = gsl_multifit_nlinear_residual(search);
    gsl_blas_ddot(left, left, sum);
    if (!isfinite(*sum)) return false;
    return covariance == NULL || take_covariance(search, fdf->p, covariance);
}

bool sp_least_squares(sp_residual_function *function, const void *data, size_t residuals,
                      size_t parameter_count, double *parameters, double *sum, double *covariance) {
    assert(parameter_count >= 1 && parameter_count <= SP_LEAST_SQUARES_PARAMETERS_MAX);
    if (residuals < parameter_count) return false;
    sp_geometry_by_status();
    const gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_workspace *search =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, residuals, parameter_count);
    if (search == NULL) return false;
    task work = {function, data};
    gsl_multifit_nlinear_fdf fdf = {.f = residuals_of,
                                    .df = derivatives_of,
                                    .n = residuals,
                                    .p = parameter_count,
                                    .params = &work};
    const bool done = search_from(search, &fdf, parameters, sum, covariance);
    gsl_multifit_nlinear_free(search);
    return done;
}
