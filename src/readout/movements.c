/* Times, tosses and speeds. */
#include <math.h>

#include "kinematics/polynomial.h"
#include "readout/evidence.h"
#include "serveplumb/toss.h"

/* Where the head's fitted path is looked at: its ends and six places between. */
#define PLACES 8
/* From so many on its path is a cubic: the head slows down as the shoulders turn under it. */
#define CUBIC_FRAMES_MIN 6

/* The slowest serve that a child plays, and more than the fastest ever measured (m/s). */
static const double SERVE_SLOWEST = 7, SERVE_FASTEST = 90;

double sp_find_span(const sp_evidence *e) { return e->to_s - e->from_s; }

/* --- fits over a whole path ------------------------------------------------------------------ */
/* The line is that of the parabola's first two columns, which stand by themselves: a ball in flight
 * keeps its way along the ground, which a curve fitted to half the flight would leave. */
static bool fit_whole(const sp_evidence *e, int degree, sp_whole_fit *fit) {
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
    if (!sp_polynomial_prepare(&polynomial, times, e->path_count, degree)) return false;
    sp_polynomial_solve_both(&polynomial, x, y, fit->x, fit->y);
    polynomial.terms = 2;
    sp_polynomial_solve(&polynomial, x, fit->along, NULL);
    return true;
}

static const sp_whole_fit *parabola_of(const sp_evidence *e) {
    sp_path_fits *fits = e->fits;
    if (!fits->has_parabola) fits->parabola_good = fit_whole(e, 2, &fits->parabola);
    fits->has_parabola = true;
    return fits->parabola_good ? &fits->parabola : NULL;
}

/* Of the fitted path, not of the taps: the farthest two of many taps are far apart by tapping error
 * alone. Over the whole span: at 30 frames/s the frames in it are up to a fifth shorter. */
double sp_find_travel(const sp_evidence *e) {
    sp_whole_fit fit;
    if (!fit_whole(e, e->path_count < CUBIC_FRAMES_MIN ? 2 : 3, &fit)) return NAN;
    sp_point places[PLACES];
    double travel = 0;
    const double first_s = e->to_s - SP_HEAD_BEFORE_S - fit.start_s;
    for (int i = 0; i < PLACES; i++) {
        const double t = first_s + (SP_HEAD_BEFORE_S + SP_HEAD_AFTER_S) * i / (PLACES - 1);
        places[i] = (sp_point){sp_polynomial_at(fit.x, t), sp_polynomial_at(fit.y, t)};
        for (int j = 0; j < i; j++) travel = fmax(travel, sp_point_distance(places[i], places[j]));
    }
    return travel;
}

/* Height of the apex above the fitted height at `time_s`. The apex lies between the ends of the
 * path: else the ball was not seen to rise and fall. */
static double apex_above(const sp_evidence *e, double time_s) {
    const sp_whole_fit *fit = parabola_of(e);
    if (fit == NULL || !(fit->y[2] < 0)) return NAN;
    const double apex_s = -fit->y[1] / (2 * fit->y[2]);
    if (!(apex_s > 0 && apex_s < fit->length_s)) return NAN;
    return sp_polynomial_at(fit->y, apex_s) - sp_polynomial_at(fit->y, time_s - fit->start_s);
}

double sp_find_toss_rise(const sp_evidence *e) {
    return e->path_count == 0 ? NAN : apex_above(e, e->path[0].time_s);
}

double sp_find_toss_drop(const sp_evidence *e) { return apex_above(e, e->to_s); }

double sp_find_toss_landing(const sp_evidence *e) {
    const sp_whole_fit *fit = parabola_of(e);
    if (fit == NULL || !(fit->y[2] < 0)) return NAN;
    const double apex_s = -fit->y[1] / (2 * fit->y[2]);
    const double fall = sp_polynomial_at(fit->y, apex_s) - e->ground.y;
    if (!(fall > 0)) return NAN;
    /* Drag takes its share of the way ahead while it falls, with half its last speed on average. */
    const double fall_s = sqrt(fall / -fit->y[2]), mean = fall / fall_s;
    const double dragged = fit->along[1] * e->drag_per_m * mean * fall_s * fall_s / 2;
    return sp_polynomial_at(fit->along, apex_s + fall_s) - dragged - e->ground.x;
}

/* --- speeds up to contact -------------------------------------------------------------------- */

/* Both spans are near 30 ms, over which a racquet's speed is close to a straight line in time. */
size_t sp_contact_frames(double rate) { return rate >= 200 ? 7 : 5; }

/* The elbow's speed changes little in 45 ms. */
size_t sp_elbow_frames(double rate) { return rate >= 200 ? 11 : 7; }

/* A racquet is at its fastest within 5 ms after it meets the ball (seven men of a college team;
 * reference: serve kinematics, S12), and its speed bends down by some 400 /s^2 of itself before
 * (by simulated swings): it still gains from 0 to 2 a second of itself; the swings of demo-clips
 * gain 2, with a deviation of 4. Students differ more. */
static const sp_strike OF_TIP = {2, 6};
/* The hand is past its fastest by then: its speed goes over into the racquet (the same swings:
 * -0.4, with a deviation of 3.7). */
static const sp_strike OF_HAND = {-1.5, 6};

static bool strike(const sp_evidence *e, const sp_strike *of, double *speed, double *highest) {
    const sp_strike drawn = {of->gain_per_s + of->gain_sd_per_s * e->model, of->gain_sd_per_s};
    return sp_motion_speed_striking(e->path, e->path_count, e->to_s, e->noise, &drawn, speed,
                                    highest);
}

static bool strike_of_tip(const sp_evidence *e) {
    sp_path_fits *fits = e->fits;
    if (!fits->has_strike) fits->strike_good = strike(e, &OF_TIP, &fits->speed, &fits->highest);
    fits->has_strike = true;
    return fits->strike_good;
}

double sp_find_speed_at_contact(const sp_evidence *e) {
    return strike_of_tip(e) ? fmax(0, e->fits->speed) : NAN;
}

double sp_find_highest_to_contact(const sp_evidence *e) {
    return strike_of_tip(e) ? fmax(0, e->fits->highest) : NAN;
}

double sp_find_hand_to_contact(const sp_evidence *e) {
    double speed, highest;
    return strike(e, &OF_HAND, &speed, &highest) ? fmax(0, highest) : NAN;
}

double sp_find_tip_speed(const sp_evidence *e) {
    double speed;
    const sp_window *w = e->window;
    if (!sp_motion_speed_along(e->path + w->first, w->count, 2, e->path[w->middle].time_s, &speed))
        return NAN;
    return fmax(0, speed);
}

static double speed_within(const sp_evidence *e, size_t less) {
    sp_motion motion;
    const sp_window *w = e->window;
    if (!sp_motion_fit(e->path + w->first + less, w->count - 2 * less, 2, e->path[w->middle].time_s,
                       &motion))
        return NAN;
    return sp_point_length(motion.velocity);
}

/* A parabola over the window may miss how the speed bends: the model is off by what one frame less
 * at both ends changes. */
double sp_find_speed(const sp_evidence *e) {
    const double speed = speed_within(e, 0);
    if (e->model == 0 || e->window->count < 5) return speed;
    return fmax(0, speed + e->model * (speed_within(e, 1) - speed));
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
 * by step: tests/published/flight_test.c. */
double sp_find_flight_speed(const sp_evidence *e) {
    const double time_s = e->to_s - e->from_s, drag = e->drag_per_m * e->flight_m;
    if (!(time_s > 0) || !(drag > 0)) return NAN;
    const double mean = e->flight_m / time_s;
    const double launch =
        mean * expm1(drag) / drag - SP_GRAVITY * e->drop_m / e->flight_m * time_s / 2;
    return launch > SERVE_SLOWEST && launch < SERVE_FASTEST ? launch : NAN;
}
