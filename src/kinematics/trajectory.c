#include "kinematics/trajectory.h"

#include <assert.h>
#include <math.h>

#include <gsl/gsl_multifit.h>

#include "kinematics/numerics.h"

/* Singular values below this share of the largest: the times do not determine the polynomial. */
static const double DEPENDENT = 1e-10;

static double half_span(const sp_sample *samples, size_t count, double t0) {
    double span = 0;
    for (size_t i = 0; i < count; i++) span = fmax(span, fabs(samples[i].time_s - t0));
    return span > 0 ? span : 1;
}

/* One sample: two rows, of the whitened x and y; columns x[0..degree], y[0..degree]. */
static void fill_sample(const sp_sample *sample, sp_whitening w, int degree, double scaled_time,
                        size_t at, gsl_matrix *rows, gsl_vector *right) {
    const size_t terms = (size_t)degree + 1;
    double power = 1;
    for (size_t k = 0; k < terms; k++) {
        gsl_matrix_set(rows, at, k, w.xx * power);
        gsl_matrix_set(rows, at, terms + k, 0);
        gsl_matrix_set(rows, at + 1, k, w.yx * power);
        gsl_matrix_set(rows, at + 1, terms + k, w.yy * power);
        power *= scaled_time;
    }
    gsl_vector_set(right, at, w.xx * sample->at.x);
    gsl_vector_set(right, at + 1, w.yx * sample->at.x + w.yy * sample->at.y);
}

static void take(const gsl_vector *solution, const gsl_matrix *inverse, double span,
                 sp_trajectory *trajectory) {
    const size_t terms = (size_t)trajectory->degree + 1;
    double scale[SP_TRAJECTORY_TERMS_MAX];
    for (size_t k = 0; k < terms; k++) scale[k] = scale[terms + k] = pow(span, -(double)k);
    for (size_t k = 0; k < terms; k++) {
        trajectory->x[k] = gsl_vector_get(solution, k) * scale[k];
        trajectory->y[k] = gsl_vector_get(solution, terms + k) * scale[k];
    }
    for (size_t i = 0; i < 2 * terms; i++)
        for (size_t j = 0; j < 2 * terms; j++)
            trajectory->covariance[i * 2 * terms + j] =
                gsl_matrix_get(inverse, i, j) * scale[i] * scale[j];
}

static bool solve(const gsl_matrix *rows, const gsl_vector *right, const gsl_vector *ones,
                  double span, sp_trajectory *trajectory) {
    const size_t terms = rows->size2;
    double solution[SP_TRAJECTORY_TERMS_MAX] = {0};
    double square[SP_TRAJECTORY_TERMS_MAX * SP_TRAJECTORY_TERMS_MAX] = {0};
    gsl_vector_view to = gsl_vector_view_array(solution, terms);
    gsl_matrix_view inverse = gsl_matrix_view_array(square, terms, terms);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(rows->size1, terms);
    size_t rank = 0;
    const bool done =
        work != NULL &&
        gsl_multifit_wlinear_tsvd(rows, ones, right, DEPENDENT, &to.vector, &inverse.matrix,
                                  &trajectory->sum, &rank, work) == GSL_SUCCESS &&
        rank == terms;
    if (done) take(&to.vector, &inverse.matrix, span, trajectory);
    gsl_multifit_linear_free(work);
    return done;
}

bool sp_trajectory_fit(const sp_sample *samples, const sp_whitening *whitening, size_t count,
                       int degree, double t0, sp_trajectory *trajectory) {
    assert(degree >= 0 && degree <= SP_TRAJECTORY_DEGREE_MAX);
    const size_t terms = (size_t)degree + 1;
    if (count < terms) return false;
    sp_numerics_by_status();
    gsl_matrix *rows = gsl_matrix_alloc(2 * count, 2 * terms);
    gsl_vector *right = gsl_vector_alloc(2 * count);
    gsl_vector *ones = gsl_vector_alloc(2 * count);
    bool done = false;
    if (rows != NULL && right != NULL && ones != NULL) {
        gsl_vector_set_all(ones, 1);
        const sp_whitening plain = {1, 0, 1};
        const double span = half_span(samples, count, t0);
        for (size_t i = 0; i < count; i++)
            fill_sample(&samples[i], whitening == NULL ? plain : whitening[i], degree,
                        (samples[i].time_s - t0) / span, 2 * i, rows, right);
        *trajectory = (sp_trajectory){.degree = degree, .t0 = t0};
        trajectory->surplus = 2 * (int)(count - terms);
        done = solve(rows, right, ones, span, trajectory);
    }
    gsl_vector_free(ones);
    gsl_vector_free(right);
    gsl_matrix_free(rows);
    return done;
}

sp_point sp_trajectory_at(const sp_trajectory *trajectory, double time_s) {
    const double t = time_s - trajectory->t0;
    sp_point at = {0, 0};
    for (int k = trajectory->degree; k >= 0; k--)
        at = (sp_point){at.x * t + trajectory->x[k], at.y * t + trajectory->y[k]};
    return at;
}
