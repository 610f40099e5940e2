#include "kinematics/toss_words.h"

#include <math.h>
#include <stdio.h>

#include <gsl/gsl_cdf.h>

static const double CHANCE = 0.05;
static const double COVERAGE_95 = 1.959963984540054;
/* A cubic this many deviations from nothing is no chance (1 in 16,000). */
static const double BENT = 4.0;
/* Residuals under this come from rounding, not from tapping. */
static const double EXACT_PX = 1e-3;
/* Residuals this many times what the taps are said to be good for. */
static const double ROUGH = 2.0;

static double student_95(int freedom) { return gsl_cdf_tdist_Pinv(0.975, freedom); }

sp_fall_noise sp_fall_noise_of(const sp_free_fall *fall, double said) {
    const sp_trajectory *path = &fall->path;
    const double rms = sqrt(path->sum / path->surplus);
    const bool more_than_said =
        said > 0 && gsl_cdf_chisq_Q(path->sum / (said * said), path->surplus) < CHANCE;
    if (said > 0 && !more_than_said) return (sp_fall_noise){rms, said, COVERAGE_95};
    return (sp_fall_noise){rms, rms, student_95(path->surplus)};
}

double sp_fall_bend(const sp_free_fall *fall, const sp_fall_noise *noise) {
    return noise->noise > 0 ? fall->bend / noise->noise : 0;
}

void sp_fall_doubt(double bend, double rms_px, double said_px, char *text, size_t size) {
    text[0] = '\0';
    if (fabs(bend) > BENT && rms_px > EXACT_PX)
        snprintf(
            text, size,
            "the ball's path bends otherwise than in free flight: leave out the first frames, on "
            "which it may still touch the hand, and the last before contact; or the camera moves");
    else if (said_px > 0 && rms_px > ROUGH * said_px)
        snprintf(
            text, size,
            "the ball's points lie %.1f px off a free flight where %.1f px was expected: check "
            "them, and that the camera stands still",
            rms_px, said_px);
}
