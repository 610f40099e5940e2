/* Times, tosses and speeds. */
#include <math.h>

#include "kinematics/polynomial.h"
#include "readout/evidence.h"
#include "serveplumb/toss.h"

/* Where the head's fitted path is looked at: its ends and six places between. */
#define PLACES 8

/* The slowest serve that a child plays, and more than the fastest ever measured (m/s). */
static const double SERVE_SLOWEST = 7, SERVE_FASTEST = 90;

double sp_find_span(const sp_evidence *e) { return e->to_s - e->from_s; }

/* --- fits over a whole path ------------------------------------------------------------------ */
typedef struct {
    double x[SP_POLYNOMIAL_TERMS_MAX], y[SP_POLYNOMIAL_TERMS_MAX];
    double start_s, length_s;
} whole_fit;

/* A quadratic through the path; its times count from the first sample. */
static bool fit_whole(const sp_evidence *e, whole_fit *fit) {
    double times[SP_POLYNOMIAL_SAMPLES_MAX], x[SP_POLYNOMIAL_SAMPLES_MAX],
        y[SP_POLYNOMIAL_SAMPLES_MAX];
    if (e->path_count == 0 || e->path_count > SP_POLYNOMIAL_SAMPLES_MAX) return false;
    fit->start_s = e->path[0].time_s;
    fit->length_s = e->path[e->path_count - 1].time_s - fit->start_s;
    for (size_t i = 0; i < e->path_count; i++) {
        times[i] = e->path[i].time_s - fit->start_s;
        x[i] = e->path[i].at.x;
        y[i] = e->path[i].at.y;
    }
    sp_polynomial polynomial;
    if (!sp_polynomial_prepare(&polynomial, times, e->path_count, 2)) return false;
    sp_polynomial_solve(&polynomial, x, fit->x, NULL);
    sp_polynomial_solve(&polynomial, y, fit->y, NULL);
    return true;
}

/* Of the fitted path, not of the taps: the farthest two of many taps are far apart by tapping
 * error alone. */
double sp_find_travel(const sp_evidence *e) {
    whole_fit fit;
    if (!fit_whole(e, &fit)) return NAN;
    sp_point places[PLACES];
    double travel = 0;
    for (int i = 0; i < PLACES; i++) {
        const double t = fit.length_s * i / (PLACES - 1);
        places[i] = (sp_point){sp_polynomial_at(fit.x, t), sp_polynomial_at(fit.y, t)};
        for (int j = 0; j < i; j++) travel = fmax(travel, sp_point_distance(places[i], places[j]));
    }
    return travel;
}

/* Height of the apex above the fitted height at `time_s`. The apex lies between the ends of the
 * path: else the ball was not seen to rise and fall. */
static double apex_above(const sp_evidence *e, double time_s) {
    whole_fit fit;
    if (!fit_whole(e, &fit) || !(fit.y[2] < 0)) return NAN;
    const double apex_s = -fit.y[1] / (2 * fit.y[2]);
    if (!(apex_s > 0 && apex_s < fit.length_s)) return NAN;
    return sp_polynomial_at(fit.y, apex_s) - sp_polynomial_at(fit.y, time_s - fit.start_s);
}

double sp_find_toss_rise(const sp_evidence *e) {
    return e->path_count == 0 ? NAN : apex_above(e, e->path[0].time_s);
}

double sp_find_toss_drop(const sp_evidence *e) { return apex_above(e, e->to_s); }

/* A ball in flight keeps its way along the ground: a straight line in time, which a curve fitted to
 * half the flight would leave. */
static bool fit_along_ground(const sp_evidence *e, double along[SP_POLYNOMIAL_TERMS_MAX]) {
    double times[SP_POLYNOMIAL_SAMPLES_MAX], x[SP_POLYNOMIAL_SAMPLES_MAX];
    for (size_t i = 0; i < e->path_count; i++) {
        times[i] = e->path[i].time_s - e->path[0].time_s;
        x[i] = e->path[i].at.x;
    }
    sp_polynomial polynomial;
    if (!sp_polynomial_prepare(&polynomial, times, e->path_count, 1)) return false;
    sp_polynomial_solve(&polynomial, x, along, NULL);
    return true;
}

double sp_find_toss_landing(const sp_evidence *e) {
    whole_fit fit;
    double along[SP_POLYNOMIAL_TERMS_MAX];
    if (!fit_whole(e, &fit) || !(fit.y[2] < 0) || !fit_along_ground(e, along)) return NAN;
    const double apex_s = -fit.y[1] / (2 * fit.y[2]);
    const double fall = sp_polynomial_at(fit.y, apex_s) - e->ground.y;
    if (!(fall > 0)) return NAN;
    return sp_polynomial_at(along, apex_s + sqrt(fall / -fit.y[2])) - e->ground.x;
}

/* --- speeds up to contact -------------------------------------------------------------------- */

/* Both spans are near 30 ms, over which a racquet's speed is close to a straight line in time. */
size_t sp_contact_frames(double rate) { return rate >= 200 ? 7 : 5; }

/* Share of the time from the last frame to the touch over which the speed is taken to go on
 * growing: some swings gain up to the touch, others are spent by then, and the line through the
 * frames before reads them too high (three swings: readout_coverage_test.c). */
static const double GAINS_ON = 0.3;

/* The model error, as a standard deviation, is so many times what one frame fewer changes. Half of
 * that is the usual estimate of truncation; more also holds swings that stop gaining before contact
 * (coverage of three swings: readout_coverage_test.c; of many players: make truth). */
static const double MODEL_SHARE = 1.4;

double sp_find_speed_at_contact(const sp_evidence *e) {
    double all, fewer;
    const double last_s = e->path[e->path_count - 1].time_s;
    const double at_s = last_s + GAINS_ON * (e->to_s - last_s);
    if (!sp_motion_speed_along(e->path, e->path_count, 2, at_s, &all) ||
        !sp_motion_speed_along(e->path + 1, e->path_count - 1, 2, at_s, &fewer))
        return NAN;
    return fmax(0, all + MODEL_SHARE * e->model * (fewer - all));
}

double sp_find_tip_speed(const sp_evidence *e) {
    double lengths[SP_WINDOW_MAX], speed = 0;
    sp_motion_travel(e->path + e->window->first, e->window->count, lengths);
    for (size_t k = 0; k < e->window->count; k++) speed += e->window->weights[k] * lengths[k];
    return fmax(0, speed);
}

double sp_find_speed(const sp_evidence *e) {
    sp_point velocity = {0, 0};
    for (size_t k = 0; k < e->window->count; k++)
        velocity = sp_point_add(
            velocity, sp_point_times(e->path[e->window->first + k].at, e->window->weights[k]));
    return sp_point_length(velocity);
}

double sp_find_last_two_speed(const sp_evidence *e) {
    if (e->path_count < 2) return NAN;
    const sp_sample *last = e->path + e->path_count - 1;
    return sp_point_distance(last[0].at, last[-1].at) / (last[0].time_s - last[-1].time_s);
}

/* A straight line through the ball's flight has its speed halfway; drag takes the same share of it
 * on each metre, v = v0 exp(-k x) (Newton's law with a force along v^2). */
double sp_find_speed_off(const sp_evidence *e) {
    sp_motion motion;
    double half_way_s = 0;
    for (size_t i = 0; i < e->path_count; i++)
        half_way_s += e->path[i].time_s / (double)e->path_count;
    if (!sp_motion_fit(e->path, e->path_count, 1, half_way_s, &motion)) return NAN;
    const double speed = sp_point_length(motion.velocity);
    return speed * exp(e->drag_per_m * speed * (half_way_s - e->to_s));
}

/* Mean speed over the path, what drag took of it before put back (v = v0 exp(-k x)), and what
 * gravity gave along it taken off: g drop / path, over half the time. Against flights computed step
 * by step: readout_court_test.c. */
double sp_find_flight_speed(const sp_evidence *e) {
    const double time_s = e->to_s - e->from_s, drag = e->drag_per_m * e->flight_m;
    if (!(time_s > 0) || !(drag > 0)) return NAN;
    const double mean = e->flight_m / time_s;
    const double launch =
        mean * expm1(drag) / drag - SP_GRAVITY * e->drop_m / e->flight_m * time_s / 2;
    return launch > SERVE_SLOWEST && launch < SERVE_FASTEST ? launch : NAN;
}
