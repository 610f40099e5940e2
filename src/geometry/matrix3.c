#include "geometry/matrix3.h"

#include <math.h>
#include <stddef.h>

/* Under this angle the series are exact to rounding where the closed forms lose digits. */
static const double SMALL = 1e-4;

void sp_matrix3_multiply(const double a[9], const double b[9], double product[9]) {
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 0; j < 3; j++)
            product[3 * i + j] =
                a[3 * i] * b[j] + a[3 * i + 1] * b[3 + j] + a[3 * i + 2] * b[6 + j];
}

void sp_matrix3_apply(const double a[9], const double x[3], double y[3]) {
    for (size_t i = 0; i < 3; i++) y[i] = sp_vector3_dot(a + 3 * i, x);
}

void sp_matrix3_apply_transposed(const double a[9], const double x[3], double y[3]) {
    for (int i = 0; i < 3; i++) y[i] = a[i] * x[0] + a[3 + i] * x[1] + a[6 + i] * x[2];
}

void sp_vector3_cross(const double a[3], const double b[3], double product[3]) {
    product[0] = a[1] * b[2] - a[2] * b[1];
    product[1] = a[2] * b[0] - a[0] * b[2];
    product[2] = a[0] * b[1] - a[1] * b[0];
}

double sp_vector3_dot(const double a[3], const double b[3]) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

double sp_vector3_length(const double a[3]) { return sqrt(sp_vector3_dot(a, a)); }

/* 1 + first [angle]x + second [angle]x^2 */
static void series_of_cross(const double angle[3], double first, double second, double matrix[9]) {
    const double cross[9] = {0,         -angle[2], angle[1], angle[2], 0,
                             -angle[0], -angle[1], angle[0], 0};
    double square[9];
    sp_matrix3_multiply(cross, cross, square);
    for (int k = 0; k < 9; k++) matrix[k] = (k % 4 == 0) + first * cross[k] + second * square[k];
}

void sp_turn_matrix(const double angle[3], double turn[9]) {
    const double size = sp_vector3_length(angle);
    if (size < SMALL)
        series_of_cross(angle, 1 - size * size / 6, 0.5 - size * size / 24, turn);
    else
        series_of_cross(angle, sin(size) / size, (1 - cos(size)) / (size * size), turn);
}

void sp_turn_jacobian(const double angle[3], double jacobian[9]) {
    const double size = sp_vector3_length(angle);
    if (size < SMALL)
        series_of_cross(angle, 0.5 - size * size / 24, 1.0 / 6 - size * size / 120, jacobian);
    else
        series_of_cross(angle, (1 - cos(size)) / (size * size),
                        (size - sin(size)) / (size * size * size), jacobian);
}
