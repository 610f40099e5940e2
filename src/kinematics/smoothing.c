#include "serveplumb/smoothing.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double PI = 3.14159265358979323846;

/* (2^(1/n) - 1)^(1/4) for n passes. */
static double correction(int passes) { return pow(pow(2, 1.0 / passes) - 1, 0.25); }

bool sp_butterworth_design(double rate, double cutoff_hz, int passes, sp_butterworth *filter,
                           sp_error *error) {
    assert(passes == 1 || passes == 2);
    const double c = correction(passes);
    if (!(cutoff_hz > 0) || !(cutoff_hz / c < rate / 2))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "a cut-off of %g Hz cannot be had from %g values a second; take one above 0 "
                       "and below %.3g Hz",
                       cutoff_hz, rate, c * rate / 2);
    const double omega = tan(PI * cutoff_hz / rate) / c;
    const double k1 = sqrt(2) * omega, k2 = omega * omega;
    filter->a0 = filter->a2 = k2 / (1 + k1 + k2);
    filter->a1 = 2 * filter->a0;
    const double k3 = filter->a1 / k2;
    filter->b1 = k3 - filter->a1;
    filter->b2 = 1 - filter->a1 - k3;
    return true;
}

/* In place, from the steady state of the first value; `stride` -1 runs backward from there. */
static void pass(const sp_butterworth *filter, double *first, size_t count, ptrdiff_t stride) {
    double x1 = *first, x2 = *first, y1 = *first, y2 = *first;
    for (size_t i = 0; i < count; i++, first += stride) {
        const double x = *first;
        const double y =
            filter->a0 * x + filter->a1 * x1 + filter->a2 * x2 + filter->b1 * y1 + filter->b2 * y2;
        x2 = x1;
        x1 = x;
        y2 = y1;
        y1 = y;
        *first = y;
    }
}

/* Each end turned about its last value by half a turn: 2 x[0] - x[k]. */
static void prolong(const double *values, size_t count, size_t padding, double *longer) {
    memcpy(longer + padding, values, count * sizeof *values);
    for (size_t k = 1; k <= padding; k++) {
        longer[padding - k] = 2 * values[0] - values[k];
        longer[padding + count - 1 + k] = 2 * values[count - 1] - values[count - 1 - k];
    }
}

static bool usable(const double *values, size_t count, size_t padding, sp_error *error) {
    if (count < SP_SMOOTHING_SAMPLES_MIN)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "%zu values are too few to smooth; mark the point on at least %d frames",
                       count, SP_SMOOTHING_SAMPLES_MIN);
    if (padding >= count)
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "%zu values cannot be prolonged by %zu at each end; take fewer than there are", count,
            padding);
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i]))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "value %zu of %zu is not a number, so the row cannot be smoothed", i,
                           count);
    return true;
}

static size_t usual_padding(size_t count) {
    return count > SP_SMOOTHING_PADDING ? SP_SMOOTHING_PADDING : count - 1;
}

bool sp_smooth(const double *values, size_t count, double rate, double cutoff_hz, size_t padding,
               double *smooth, sp_error *error) {
    sp_butterworth filter;
    if (!usable(values, count, padding, error) ||
        !sp_butterworth_design(rate, cutoff_hz, 2, &filter, error))
        return false;
    if (padding == 0) padding = usual_padding(count);
    const size_t length = count + 2 * padding;
    double *longer = malloc(length * sizeof *longer);
    if (longer == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left to smooth %zu values", count);
    prolong(values, count, padding, longer);
    pass(&filter, longer, length, 1);
    pass(&filter, longer + length - 1, length, -1);
    memcpy(smooth, longer + padding, count * sizeof *smooth);
    free(longer);
    return true;
}
