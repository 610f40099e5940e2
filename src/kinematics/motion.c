#include "serveplumb/motion.h"

#include <math.h>

#include "kinematics/polynomial.h"

static bool times_increase(const sp_sample *samples, size_t count) {
    for (size_t i = 1; i < count; i++)
        if (!(samples[i].time_s > samples[i - 1].time_s)) return false;
    return true;
}

/* Times are counted from t0, so that the fit's own coefficients are the answer. */
bool sp_motion_fit(const sp_sample *samples, size_t count, int degree, double t0,
                   sp_motion *motion) {
    if (degree < 1 || degree > 3 || count > SP_MOTION_SAMPLES_MAX) return false;
    if (!times_increase(samples, count)) return false;
    double times[SP_MOTION_SAMPLES_MAX], x[SP_MOTION_SAMPLES_MAX], y[SP_MOTION_SAMPLES_MAX];
    for (size_t i = 0; i < count; i++) {
        times[i] = samples[i].time_s - t0;
        x[i] = samples[i].at.x;
        y[i] = samples[i].at.y;
    }
    sp_polynomial polynomial;
    double of_x[SP_POLYNOMIAL_TERMS_MAX], of_y[SP_POLYNOMIAL_TERMS_MAX];
    if (!sp_polynomial_prepare(&polynomial, times, count, degree)) return false;
    sp_polynomial_solve_both(&polynomial, x, y, of_x, of_y);
    motion->position = (sp_point){of_x[0], of_y[0]};
    motion->velocity = (sp_point){of_x[1], of_y[1]};
    motion->acceleration = (sp_point){2 * of_x[2], 2 * of_y[2]};
    motion->noise_gain = sp_polynomial_gain(&polynomial, 1);
    return true;
}

/* Turn from the chord before sample i to the chord after it; i is neither the first nor last. */
static double turn_at(const sp_sample *samples, size_t i) {
    const sp_point before = sp_point_subtract(samples[i].at, samples[i - 1].at);
    const sp_point after = sp_point_subtract(samples[i + 1].at, samples[i].at);
    return atan2(sp_point_cross(before, after), sp_point_dot(before, after));
}

/* Turn along the chord that ends at sample i: the mean of the turns at its two ends. */
static double turn_along(const sp_sample *samples, size_t count, size_t i) {
    const bool first = i == 1, last = i == count - 1;
    if (first && last) return 0;
    if (first) return turn_at(samples, i);
    if (last) return turn_at(samples, i - 1);
    return (turn_at(samples, i - 1) + turn_at(samples, i)) / 2;
}

static double arc_to(const sp_sample *samples, size_t count, size_t i) {
    const double chord = sp_point_distance(samples[i].at, samples[i - 1].at);
    const double half = turn_along(samples, count, i) / 2;
    return half == 0 ? chord : chord * half / sin(half);
}

void sp_motion_travel(const sp_sample *samples, size_t count, double *lengths) {
    for (size_t i = 0; i < count; i++)
        lengths[i] = i == 0 ? 0 : lengths[i - 1] + arc_to(samples, count, i);
}

bool sp_motion_speed_along(const sp_sample *samples, size_t count, int degree, double t0,
                           double *speed) {
    if (count > SP_MOTION_SAMPLES_MAX) return false;
    double lengths[SP_MOTION_SAMPLES_MAX];
    sp_motion_travel(samples, count, lengths);
    sp_sample travelled[SP_MOTION_SAMPLES_MAX];
    for (size_t i = 0; i < count; i++)
        travelled[i] = (sp_sample){samples[i].time_s, {lengths[i], 0}};
    sp_motion motion;
    if (!sp_motion_fit(travelled, count, degree, t0, &motion)) return false;
    *speed = motion.velocity.x;
    return true;
}

bool sp_motion_weights(const double *times_s, size_t count, int degree, double t0,
                       double *weights) {
    if (degree < 1 || degree > 3 || count > SP_MOTION_SAMPLES_MAX) return false;
    double times[SP_MOTION_SAMPLES_MAX];
    for (size_t i = 0; i < count; i++) {
        if (i > 0 && !(times_s[i] > times_s[i - 1])) return false;
        times[i] = times_s[i] - t0;
    }
    sp_polynomial polynomial;
    if (!sp_polynomial_prepare(&polynomial, times, count, degree)) return false;
    sp_polynomial_weights(&polynomial, 1, weights);
    return true;
}

/* Speed so far before the end, for the size of the gain: of the last two steps. */
static double late_speed(const sp_sample *samples, const double *lengths, size_t count) {
    const size_t last = count - 1, from = last - 2;
    return (lengths[last] - lengths[from]) / (samples[last].time_s - samples[from].time_s);
}

/* Of v + 2 b t + 3 c t^2 from `first` (below 0) to 0. */
static double highest_of(const double c[SP_POLYNOMIAL_TERMS_MAX], double first) {
    const double top = c[3] < 0 ? -c[2] / (3 * c[3]) : 0;
    if (!(top > first && top < 0)) return c[1];
    return fmax(c[1], c[1] + 2 * c[2] * top + 3 * c[3] * top * top);
}

bool sp_motion_speed_striking(const sp_sample *samples, size_t count, double t0, double noise,
                              const sp_strike *strike, double *speed, double *highest) {
    double lengths[SP_MOTION_SAMPLES_MAX + 1], times[SP_MOTION_SAMPLES_MAX];
    if (count < 4 || count > SP_MOTION_SAMPLES_MAX || !times_increase(samples, count)) return false;
    sp_motion_travel(samples, count, lengths);
    for (size_t i = 0; i < count; i++) times[i] = samples[i].time_s - t0;
    const double late = late_speed(samples, lengths, count);
    const double weight = noise / (strike->gain_sd_per_s * late);
    if (!(weight > 0) || !isfinite(weight)) return false;
    sp_polynomial polynomial;
    double c[SP_POLYNOMIAL_TERMS_MAX];
    /* the acceleration is twice the coefficient of t^2 */
    if (!sp_polynomial_prepare_believing(&polynomial, times, count, 3, 2, 2 * weight)) return false;
    lengths[count] = weight * strike->gain_per_s * late;
    sp_polynomial_solve(&polynomial, lengths, c, NULL);
    *speed = c[1];
    *highest = highest_of(c, times[0]);
    return true;
}
