#include "serveplumb/toss.h"

#include <math.h>

#include "kinematics/free_fall.h"
#include "kinematics/toss_fit.h"
#include "kinematics/toss_words.h"

static const double DEGREES = 57.295779513082320876798;
static const double COVERAGE_95 = 1.959963984540054;
/* An acceleration under this many of its own deviations is none. */
static const double SEEN = 4.0;
/* True down is within 45 degrees of the picture's. */
static const double TILT_MAX_DEG = 45.0;

static sp_air air_of(const sp_toss_options *options, double m_per_px) {
    return (sp_air){options->plain ? 0 : SP_DRAG_PER_M, m_per_px};
}

/* x[2] and y[2] of a quadratic: variance of 2 c along a unit direction. */
static double acceleration_sd(const sp_trajectory *path, sp_point along) {
    enum { X = 2, Y = 5, TERMS = 6 };
    const double xx = path->covariance[X * TERMS + X], xy = path->covariance[X * TERMS + Y];
    const double yy = path->covariance[Y * TERMS + Y];
    return 2 * sqrt(along.x * along.x * xx + 2 * along.x * along.y * xy + along.y * along.y * yy);
}

static bool falls(const sp_toss *toss, sp_error *error) {
    const double down = atan2(toss->acceleration.x, toss->acceleration.y) * DEGREES;
    if (!(toss->acceleration_px > SEEN * toss->acceleration_sd_px))
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "the ball's path shows no fall beyond the taps' own scatter; mark the ball on "
            "more frames between release and contact");
    if (!(fabs(down) < TILT_MAX_DEG))
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "the ball speeds up to the side or upward, not down: take only frames between "
            "release and contact");
    return true;
}

static void fill_interval(sp_toss *toss, const sp_toss_options *options, double coverage) {
    const double scale = SP_GRAVITY / toss->acceleration_px;
    toss->noise_sd = toss->acceleration_sd_px / toss->acceleration_px;
    toss->drag_sd = options->plain ? SP_TOSS_PLAIN_SD : SP_TOSS_DRAG_SD;
    toss->gravity_sd = SP_GRAVITY_HALF_WIDTH / sqrt(3);
    const double expanded =
        hypot(coverage * toss->noise_sd, COVERAGE_95 * hypot(toss->drag_sd, toss->gravity_sd));
    toss->m_per_px = (sp_interval){scale, scale * exp(-expanded), scale * exp(expanded)};
}

static void fill_plumb(const sp_trajectory *path, double noise, sp_toss *toss) {
    const sp_point down = sp_point_times(toss->acceleration, 1 / toss->acceleration_px);
    const sp_point across = {-down.y, down.x};
    toss->plumb.angle_deg = atan2(-down.x, down.y) * DEGREES;
    toss->plumb.sd_deg = hypot(SP_TOSS_PLUMB_SD_DEG, noise * acceleration_sd(path, across) /
                                                         toss->acceleration_px * DEGREES);
}

bool sp_toss_fit_scaled(const sp_sample *samples, size_t count, const sp_toss_options *options,
                        double m_per_px, sp_toss *toss, sp_error *error) {
    const sp_toss_options nothing = {0};
    if (options == NULL) options = &nothing;
    sp_free_fall fall;
    if (!sp_free_fall_fit(samples, NULL, count, air_of(options, m_per_px), &fall, error))
        return false;
    const sp_fall_noise noise = sp_fall_noise_of(&fall, options->sd_px);
    *toss = (sp_toss){.count = count,
                      .span_s = samples[count - 1].time_s - samples[0].time_s,
                      .acceleration = {2 * fall.path.x[2], 2 * fall.path.y[2]},
                      .rms_px = noise.rms,
                      .noise_px = noise.noise,
                      .bend = sp_fall_bend(&fall, &noise)};
    toss->acceleration_px = sp_point_length(toss->acceleration);
    const sp_point down = sp_point_times(toss->acceleration, 1 / toss->acceleration_px);
    toss->acceleration_sd_px = noise.noise * acceleration_sd(&fall.path, down);
    if (!falls(toss, error)) return false;
    fill_interval(toss, options, noise.coverage);
    fill_plumb(&fall.path, noise.noise, toss);
    sp_fall_doubt(toss->bend, toss->rms_px, options->sd_px, toss->doubt, sizeof toss->doubt);
    return true;
}

bool sp_toss_fit(const sp_sample *samples, size_t count, const sp_toss_options *options,
                 sp_toss *toss, sp_error *error) {
    return sp_toss_fit_scaled(samples, count, options, 0, toss, error);
}
