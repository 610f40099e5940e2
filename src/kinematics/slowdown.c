/* The clip's clock against gravity: a fall that seems F^2 times too slow was stretched F times. */
#include <math.h>
#include <stdio.h>

#include "kinematics/toss_fit.h"

static const double COVERAGE_95 = 1.959963984540054;
static const double COVERAGE_99 = 2.575829303548901;
/* Candidates this near one another are one (relative). */
static const double SAME = 1e-6;
/* Real time, and what phones shoot over what they store: 60, 120 and 240 over 30. */
static const double USUAL[] = {1, 2, 4, 8};

static void add_candidate(sp_slowdown_check *check, double slowdown) {
    if (!(slowdown > 0) || !isfinite(slowdown) || check->count == SP_SLOWDOWN_CANDIDATES_MAX)
        return;
    for (size_t i = 0; i < check->count; i++)
        if (fabs(check->candidates[i].slowdown / slowdown - 1) < SAME) return;
    const double off = log(slowdown / check->slowdown.value) / check->relative_sd;
    check->candidates[check->count++] =
        (sp_slowdown_candidate){slowdown, off, fabs(off) <= COVERAGE_99};
}

static int nearest_compatible(const sp_slowdown_check *check) {
    int best = -1;
    for (size_t i = 0; i < check->count; i++) {
        const sp_slowdown_candidate *one = &check->candidates[i];
        if (one->compatible && (best < 0 || fabs(one->off) < fabs(check->candidates[best].off)))
            best = (int)i;
    }
    return best;
}

/* `apparent`: the fall in m/s^2 by the stated clock; `relative_sd` of it and of g together. */
static void fill_check(double apparent, double relative_sd, double stated, sp_slowdown_ideas ideas,
                       sp_slowdown_check *check) {
    const double factor = sqrt(SP_GRAVITY / apparent), sd = relative_sd / 2;
    const double spread = exp(COVERAGE_95 * sd);
    *check = (sp_slowdown_check){.stated = stated, .relative_sd = sd};
    check->factor = (sp_interval){factor, factor / spread, factor * spread};
    check->slowdown =
        (sp_interval){stated * factor, stated * factor / spread, stated * factor * spread};
    add_candidate(check, stated);
    for (size_t i = 0; i < sizeof USUAL / sizeof USUAL[0]; i++) add_candidate(check, USUAL[i]);
    for (size_t i = 0; i < ideas.count; i++) add_candidate(check, ideas.slowdowns[i]);
    check->stated_compatible = check->candidates[0].compatible;
    check->likely = nearest_compatible(check);
}

bool sp_toss_check_scale(const sp_sample *samples, size_t count, const sp_toss_options *options,
                         sp_known_scale scale, double stated_slowdown, sp_slowdown_ideas ideas,
                         sp_slowdown_check *check, sp_error *error) {
    if (!(scale.m_per_px > 0) || !(stated_slowdown > 0) || !(scale.relative_sd >= 0))
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "the clock can only be checked against a scale; set one from the court first");
    sp_toss toss;
    if (!sp_toss_fit_scaled(samples, count, options, scale.m_per_px, &toss, error)) return false;
    const double sd =
        hypot(hypot(toss.noise_sd, scale.relative_sd), hypot(toss.drag_sd, toss.gravity_sd));
    fill_check(toss.acceleration_px * scale.m_per_px, sd, stated_slowdown, ideas, check);
    return true;
}

void sp_toss_check_gravity(const sp_toss_gravity *gravity, double stated_slowdown,
                           sp_slowdown_ideas ideas, sp_slowdown_check *check) {
    const double sd = hypot(hypot(hypot(gravity->noise_sd, gravity->pose_sd), gravity->depth_sd),
                            hypot(gravity->drag_sd, SP_GRAVITY_HALF_WIDTH / sqrt(3)));
    fill_check(gravity->gravity.value, sd, stated_slowdown, ideas, check);
}

/* --- words ----------------------------------------------------------------------------------- */

static size_t compatible_count(const sp_slowdown_check *check) {
    size_t count = 0;
    for (size_t i = 0; i < check->count; i++) count += check->candidates[i].compatible ? 1 : 0;
    return count;
}

/* Enough digits to tell the ends of the interval apart. */
static int digits_of(const sp_interval *interval) {
    const double width = interval->high - interval->low;
    return width >= 1 ? 1 : width >= 0.1 ? 2 : 3;
}

void sp_slowdown_words(const sp_slowdown_check *check, char *text, size_t size) {
    const sp_interval *found = &check->slowdown;
    const int digits = digits_of(found);
    if (check->stated_compatible && compatible_count(check) == 1)
        snprintf(text, size, "the ball falls as it should with a slowdown of %g (%.*f to %.*f)",
                 check->stated, digits, found->low, digits, found->high);
    else if (check->stated_compatible)
        snprintf(text, size,
                 "the ball falls as it should with a slowdown of %g, but others would fit as well "
                 "(%.*f to %.*f); a scale nearer to the ball would tell them apart",
                 check->stated, digits, found->low, digits, found->high);
    else if (check->likely >= 0)
        snprintf(
            text, size,
            "the ball falls as if the slowdown were %.4g (%.*f to %.*f), not %g as stated; set "
            "it, or check the scale",
            check->candidates[check->likely].slowdown, digits, found->low, digits, found->high,
            check->stated);
    else
        snprintf(
            text, size,
            "the ball falls as if the slowdown were %.*f (%.*f to %.*f), not %g as stated: "
            "either the clip's times are not those it was shot at, or the scale is off by %.0f "
            "%%",
            digits, found->value, digits, found->low, digits, found->high, check->stated,
            100 * fabs(check->factor.value * check->factor.value - 1));
}
