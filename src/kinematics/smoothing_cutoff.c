/* Winter's residual analysis. */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_fit.h>

#include "kinematics/numerics.h"
#include "serveplumb/smoothing.h"

/* Cut-offs tried: evenly from one step up to this share of the rate, just under what two passes
 * allow. Over the upper half only noise is taken away. */
#define STEPS 200
static const double HIGHEST = 0.4;

double sp_smoothing_residual(const double *values, size_t count, double rate, double cutoff_hz) {
    double *smooth = count > 0 ? malloc(count * sizeof *smooth) : NULL;
    double residual = NAN;
    if (smooth != NULL && sp_smooth(values, count, rate, cutoff_hz, 0, smooth, NULL)) {
        double sum = 0;
        for (size_t i = 0; i < count; i++) sum += (values[i] - smooth[i]) * (values[i] - smooth[i]);
        residual = sqrt(sum / (double)count);
    }
    free(smooth);
    return residual;
}

/* Where the residuals first come down to the noise, between two cut-offs by a straight line. */
static bool crossing(const double *cutoffs, const double *residuals, double noise, double *at) {
    for (size_t k = 1; k < STEPS; k++) {
        if (residuals[k] > noise || residuals[k - 1] <= noise) continue;
        const double share = (residuals[k - 1] - noise) / (residuals[k - 1] - residuals[k]);
        *at = cutoffs[k - 1] + share * (cutoffs[k] - cutoffs[k - 1]);
        return true;
    }
    return false;
}

bool sp_smoothing_cutoff(const double *values, size_t count, double rate, sp_cutoff *cutoff,
                         sp_error *error) {
    if (count < SP_CUTOFF_SAMPLES_MIN)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "%zu values are too few to tell noise from motion; %d are needed", count,
                       SP_CUTOFF_SAMPLES_MIN);
    sp_numerics_by_status();
    double cutoffs[STEPS], residuals[STEPS];
    for (size_t k = 0; k < STEPS; k++) {
        cutoffs[k] = (double)(k + 1) / STEPS * HIGHEST * rate;
        residuals[k] = sp_smoothing_residual(values, count, rate, cutoffs[k]);
        if (isnan(residuals[k]))
            return sp_fail(
                error, SP_ERROR_ARGUMENT,
                "the values cannot be smoothed at %g a second; check that each is a number", rate);
    }
    double slope, covariance[3], sum;
    gsl_fit_linear(cutoffs + STEPS / 2, 1, residuals + STEPS / 2, 1, STEPS / 2, &cutoff->noise,
                   &slope, covariance, covariance + 1, covariance + 2, &sum);
    if (!(cutoff->noise > 0) || !crossing(cutoffs, residuals, cutoff->noise, &cutoff->cutoff_hz))
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "noise and motion do not part in these values, so no cut-off can be had from "
            "them; smooth with one of 6 to 12 Hz, or not at all");
    return true;
}
