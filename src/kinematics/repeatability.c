/* The same thing measured again. */
#include <assert.h>
#include <math.h>

#include <gsl/gsl_cdf.h>

#include "kinematics/numerics.h"
#include "serveplumb/statistics.h"

/* The deviation by its mean square: nu s^2 / sigma^2 is chi square of nu. */
static sp_interval deviation_of(double squares, double df) {
    sp_numerics_by_status();
    return (sp_interval){sqrt(squares / df), sqrt(squares / gsl_cdf_chisq_Pinv(0.975, df)),
                         sqrt(squares / gsl_cdf_chisq_Pinv(0.025, df))};
}

static double row_mean(const double *row, size_t times) {
    double sum = 0;
    for (size_t j = 0; j < times; j++) sum += row[j];
    return sum / (double)times;
}

static double time_mean(const double *values, size_t rows, size_t times, size_t j) {
    double sum = 0;
    for (size_t i = 0; i < rows; i++) sum += values[i * times + j];
    return sum / (double)rows;
}

static double grand_mean(const double *values, size_t rows, size_t times) {
    return row_mean(values, rows * times);
}

sp_interval sp_typical_error_of(const double *values, size_t rows, size_t times) {
    if (rows < 2 || times < 2) return (sp_interval){NAN, NAN, NAN};
    const double grand = grand_mean(values, rows, times);
    double squares = 0;
    for (size_t j = 0; j < times; j++) {
        const double change = time_mean(values, rows, times, j) - grand;
        for (size_t i = 0; i < rows; i++) {
            const double off = values[i * times + j] - row_mean(values + i * times, times) - change;
            squares += off * off;
        }
    }
    return deviation_of(squares, (double)((rows - 1) * (times - 1)));
}

sp_interval sp_typical_error(const double *first, const double *second, size_t count) {
    if (count < 2) return (sp_interval){NAN, NAN, NAN};
    double mean = 0, squares = 0;
    for (size_t i = 0; i < count; i++) mean += (second[i] - first[i]) / (double)count;
    for (size_t i = 0; i < count; i++) {
        const double off = second[i] - first[i] - mean;
        squares += off * off / 2;
    }
    return deviation_of(squares, (double)count - 1);
}

double sp_detectable_change(double typical_error) { return 1.96 * sqrt(2) * typical_error; }
