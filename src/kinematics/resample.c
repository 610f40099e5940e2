#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_spline.h>
#include <gsl/gsl_statistics.h>

#include "kinematics/numerics.h"
#include "serveplumb/smoothing.h"

static bool usable(const double *times_s, const double *values, size_t count, sp_error *error) {
    if (count < SP_SMOOTHING_SAMPLES_MIN)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "%zu values are too few to smooth; mark the point on at least %d frames",
                       count, SP_SMOOTHING_SAMPLES_MIN);
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i]) || !isfinite(times_s[i]) ||
            (i > 0 && !(times_s[i] > times_s[i - 1])))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "times do not increase, or a value is no number, at value %zu of %zu; "
                           "check the clip's timestamps",
                           i, count);
    return true;
}

static bool bridgeable(const double *times_s, size_t count, double *steps, sp_error *error) {
    size_t longest = 0;
    for (size_t i = 0; i + 1 < count; i++) {
        steps[i] = times_s[i + 1] - times_s[i];
        if (steps[i] > times_s[longest + 1] - times_s[longest]) longest = i;
    }
    const double gap = times_s[longest + 1] - times_s[longest];
    gsl_sort(steps, 1, count - 1);
    const double usual = gsl_stats_median_from_sorted_data(steps, 1, count - 1);
    if (gap <= SP_RESAMPLE_GAP_MAX * usual) return true;
    return sp_fail(
        error, SP_ERROR_ARGUMENT,
        "there is a hole of %.3f s after %.3f s, %.0f times the usual step, which is not "
        "bridged; mark the point on the frames between, or smooth each part by itself",
        gap, times_s[longest], gap / usual);
}

static bool interpolate(const double *times_s, const double *values, size_t count, double *even,
                        sp_error *error) {
    gsl_spline *spline = gsl_spline_alloc(gsl_interp_cspline, count);
    gsl_interp_accel *near = gsl_interp_accel_alloc();
    bool done = spline != NULL && near != NULL &&
                gsl_spline_init(spline, times_s, values, count) == GSL_SUCCESS;
    const double span = times_s[count - 1] - times_s[0];
    for (size_t i = 0; done && i < count; i++) {
        const double t = times_s[0] + span * (double)i / (double)(count - 1);
        done =
            gsl_spline_eval_e(spline, fmin(t, times_s[count - 1]), near, &even[i]) == GSL_SUCCESS;
    }
    gsl_interp_accel_free(near);
    gsl_spline_free(spline);
    return done ||
           sp_fail(error, SP_ERROR_MEMORY, "no memory left to put %zu values in even steps", count);
}

bool sp_resample(const double *times_s, const double *values, size_t count, double *even,
                 double *rate, sp_error *error) {
    if (!usable(times_s, values, count, error)) return false;
    sp_numerics_by_status();
    double *steps = malloc(count * sizeof *steps);
    if (steps == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left to put %zu values in even steps",
                       count);
    const bool good = bridgeable(times_s, count, steps, error);
    free(steps);
    if (!good || !interpolate(times_s, values, count, even, error)) return false;
    *rate = (double)(count - 1) / (times_s[count - 1] - times_s[0]);
    return true;
}
