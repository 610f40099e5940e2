#include "kinematics/polynomial.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* Below this share of its length a column counts as dependent on those before it: the times do not
 * determine the polynomial (fewer different times than terms). Rounding leaves about 1e-16. */
static const double DEPENDENT = 1e-12;

static double product(const double *a, const double *b, size_t count) {
    double sum = 0;
    for (size_t i = 0; i < count; i++) sum += a[i] * b[i];
    return sum;
}

static double greatest_size(const double *times, size_t count) {
    double size = 0;
    for (size_t i = 0; i < count; i++) size = fmax(size, fabs(times[i]));
    return size > 0 ? size : 1;
}

/* Takes off a column what lies along those before it, and adds that to R. */
static void take_off(sp_polynomial *p, size_t column) {
    for (size_t k = 0; k < column; k++) {
        const double along = product(p->q[k], p->q[column], p->count);
        p->r[k][column] += along;
        for (size_t i = 0; i < p->count; i++) p->q[column][i] -= along * p->q[k][i];
    }
}

static bool add_column(sp_polynomial *p, size_t column) {
    const double length = sqrt(product(p->q[column], p->q[column], p->count));
    for (size_t k = 0; k < column; k++) p->r[k][column] = 0;
    take_off(p, column);
    take_off(p, column);
    const double left = sqrt(product(p->q[column], p->q[column], p->count));
    p->r[column][column] = left;
    if (!(left > DEPENDENT * length)) return false;
    for (size_t i = 0; i < p->count; i++) p->q[column][i] /= left;
    return true;
}

/* A row of zeros says nothing. */
static void fill_rows(sp_polynomial *p, const double *times, size_t count) {
    for (size_t i = 0; i < count; i++) {
        const double time = times[i] / p->span;
        double power = 1;
        for (size_t k = 0; k < p->terms; k++) {
            p->q[k][i] = power;
            power *= time;
        }
    }
    for (size_t k = 0; k < p->terms; k++) p->q[k][count] = 0;
}

static bool make_columns(sp_polynomial *p) {
    for (size_t k = 0; k < p->terms; k++)
        if (!add_column(p, k)) return false;
    return true;
}

static bool begin(sp_polynomial *p, const double *times, size_t count, int degree) {
    assert(degree >= 0 && degree <= SP_POLYNOMIAL_DEGREE_MAX);
    p->terms = (size_t)degree + 1;
    if (count < p->terms || count > SP_POLYNOMIAL_SAMPLES_MAX) return false;
    p->count = count;
    p->span = greatest_size(times, count);
    fill_rows(p, times, count);
    return true;
}

bool sp_polynomial_prepare(sp_polynomial *polynomial, const double *times, size_t count,
                           int degree) {
    return begin(polynomial, times, count, degree) && make_columns(polynomial);
}

bool sp_polynomial_prepare_believing(sp_polynomial *polynomial, const double *times, size_t count,
                                     int degree, size_t term, double weight) {
    if (!begin(polynomial, times, count, degree)) return false;
    assert(term < polynomial->terms);
    polynomial->q[term][count] = weight / pow(polynomial->span, (double)term);
    polynomial->count = count + 1;
    return make_columns(polynomial);
}

/* R x = y from below; y is replaced. */
static void solve_triangle(const sp_polynomial *p, double *y) {
    for (size_t k = p->terms; k-- > 0;) {
        for (size_t j = k + 1; j < p->terms; j++) y[k] -= p->r[k][j] * y[j];
        y[k] /= p->r[k][k];
    }
}

static void to_units(const sp_polynomial *p, double *coefficients) {
    solve_triangle(p, coefficients);
    double power = 1;
    for (size_t k = 1; k < p->terms; k++) {
        power *= p->span;
        coefficients[k] /= power;
    }
}

/* Each column's share is taken off before the next is looked at, which keeps what is left small. */
void sp_polynomial_solve(const sp_polynomial *polynomial, const double *values,
                         double coefficients[SP_POLYNOMIAL_TERMS_MAX], double *residual_ss) {
    double left[SP_POLYNOMIAL_ROWS_MAX];
    const size_t count = polynomial->count;
    for (size_t i = 0; i < count; i++) left[i] = values[i];
    for (size_t k = 0; k < SP_POLYNOMIAL_TERMS_MAX; k++) coefficients[k] = 0;
    for (size_t k = 0; k < polynomial->terms; k++) {
        coefficients[k] = product(polynomial->q[k], left, count);
        for (size_t i = 0; i < count; i++) left[i] -= coefficients[k] * polynomial->q[k][i];
    }
    to_units(polynomial, coefficients);
    if (residual_ss != NULL) *residual_ss = product(left, left, count);
}

/* A sum waits for each of its terms: two beside each other take the time of one. */
static void take_share(const double *column, double *left_x, double *left_y, size_t count,
                       double *share_x, double *share_y) {
    double of_x = 0, of_y = 0;
    for (size_t i = 0; i < count; i++) {
        of_x += column[i] * left_x[i];
        of_y += column[i] * left_y[i];
    }
    for (size_t i = 0; i < count; i++) {
        left_x[i] -= of_x * column[i];
        left_y[i] -= of_y * column[i];
    }
    *share_x = of_x;
    *share_y = of_y;
}

void sp_polynomial_solve_both(const sp_polynomial *polynomial, const double *x, const double *y,
                              double of_x[SP_POLYNOMIAL_TERMS_MAX],
                              double of_y[SP_POLYNOMIAL_TERMS_MAX]) {
    double left_x[SP_POLYNOMIAL_ROWS_MAX], left_y[SP_POLYNOMIAL_ROWS_MAX];
    const size_t count = polynomial->count;
    memcpy(left_x, x, count * sizeof *x);
    memcpy(left_y, y, count * sizeof *y);
    for (size_t k = 0; k < SP_POLYNOMIAL_TERMS_MAX; k++) of_x[k] = of_y[k] = 0;
    for (size_t k = 0; k < polynomial->terms; k++)
        take_share(polynomial->q[k], left_x, left_y, count, &of_x[k], &of_y[k]);
    to_units(polynomial, of_x);
    to_units(polynomial, of_y);
}

/* Coefficients are R^-1 Q^T x; row `term` of R^-1 is the solution of R^T y = e_term. */
static void row_of_inverse(const sp_polynomial *p, size_t term, double *row) {
    for (size_t k = 0; k < p->terms; k++) {
        row[k] = k == term;
        for (size_t j = term; j < k; j++) row[k] -= p->r[j][k] * row[j];
        row[k] /= p->r[k][k];
    }
}

void sp_polynomial_weights(const sp_polynomial *polynomial, size_t term, double *weights) {
    double row[SP_POLYNOMIAL_TERMS_MAX];
    assert(term < polynomial->terms);
    row_of_inverse(polynomial, term, row);
    const double unit = pow(polynomial->span, (double)term);
    for (size_t i = 0; i < polynomial->count; i++) {
        weights[i] = 0;
        for (size_t k = term; k < polynomial->terms; k++)
            weights[i] += row[k] * polynomial->q[k][i] / unit;
    }
}

double sp_polynomial_gain(const sp_polynomial *polynomial, size_t term) {
    double row[SP_POLYNOMIAL_TERMS_MAX];
    assert(term < polynomial->terms);
    row_of_inverse(polynomial, term, row);
    return sqrt(product(row, row, polynomial->terms)) / pow(polynomial->span, (double)term);
}

double sp_polynomial_at(const double coefficients[SP_POLYNOMIAL_TERMS_MAX], double time) {
    double value = 0;
    for (size_t k = SP_POLYNOMIAL_TERMS_MAX; k-- > 0;) value = value * time + coefficients[k];
    return value;
}
