#include "kinematics/free_fall.h"

#include <math.h>
#include <stdlib.h>

#include "serveplumb/toss.h"

/* Drag is some per cent of the weight, so each round brings it ten times nearer and more. */
#define ROUNDS_MAX 30
static const double SETTLED = 1e-11;
/* A tossed ball has at most a tenth; a path that needs more is no toss. */
static const double DRAG_SHARE_MAX = 0.5;
static const double STEP_S = 0.005;
static const double STEPS_MAX = 1000; /* from one sample to the next, whatever the times say */

typedef struct {
    sp_point velocity, acceleration; /* at the middle, without drag */
    double drag;                     /* per unit of length */
} motion;

/* What drag adds to the position and velocity of the parabola. */
typedef struct {
    sp_point off, velocity;
} drift;

static sp_point drag_at(const motion *of, double t, sp_point drifting) {
    const sp_point falling = sp_point_add(of->velocity, sp_point_times(of->acceleration, t));
    const sp_point velocity = sp_point_add(falling, drifting);
    return sp_point_times(velocity, -of->drag * sp_point_length(velocity));
}

static drift after(drift at, sp_point velocity, sp_point acceleration, double h) {
    return (drift){sp_point_add(at.off, sp_point_times(velocity, h)),
                   sp_point_add(at.velocity, sp_point_times(acceleration, h))};
}

/* One step of Runge and Kutta's fourth order. */
static drift step(const motion *of, double t, drift at, double h) {
    const sp_point a1 = drag_at(of, t, at.velocity);
    const drift second = after(at, at.velocity, a1, h / 2);
    const sp_point a2 = drag_at(of, t + h / 2, second.velocity);
    const drift third = after(at, second.velocity, a2, h / 2);
    const sp_point a3 = drag_at(of, t + h / 2, third.velocity);
    const drift fourth = after(at, third.velocity, a3, h);
    const sp_point a4 = drag_at(of, t + h, fourth.velocity);
    const sp_point velocity = sp_point_times(
        sp_point_add(sp_point_add(at.velocity, fourth.velocity),
                     sp_point_times(sp_point_add(second.velocity, third.velocity), 2)),
        1.0 / 6);
    const sp_point acceleration = sp_point_times(
        sp_point_add(sp_point_add(a1, a4), sp_point_times(sp_point_add(a2, a3), 2)), 1.0 / 6);
    return after(at, velocity, acceleration, h);
}

static drift travel(const motion *of, double from, double to, drift at) {
    const double count = fmin(STEPS_MAX, ceil(fabs(to - from) / STEP_S));
    const double h = (to - from) / fmax(1, count);
    for (int i = 0; i < (int)count; i++) at = step(of, from + i * h, at, h);
    return at;
}

/* Takes drag off each sample; from the middle outward, as there it has done nothing yet. Gives the
 * greatest change against what was taken off before. */
static double take_drag_off(const motion *of, const sp_sample *samples, size_t count, double t0,
                            sp_sample *freed) {
    double change = 0;
    size_t middle = 0;
    while (middle < count && samples[middle].time_s < t0) middle++;
    for (int side = 0; side < 2; side++) {
        drift at = {{0, 0}, {0, 0}};
        double t = 0;
        const size_t steps = side == 0 ? count - middle : middle;
        for (size_t i = 0; i < steps; i++) {
            const size_t which = side == 0 ? middle + i : middle - 1 - i;
            at = travel(of, t, samples[which].time_s - t0, at);
            t = samples[which].time_s - t0;
            const sp_point now = sp_point_subtract(samples[which].at, at.off);
            change = fmax(change, sp_point_distance(now, freed[which].at));
            freed[which].at = now;
        }
    }
    return change;
}

static double greatest_speed(const motion *of, double half) {
    const sp_point change = sp_point_times(of->acceleration, half);
    return fmax(sp_point_length(sp_point_add(of->velocity, change)),
                sp_point_length(sp_point_subtract(of->velocity, change)));
}

static double span_of(const sp_sample *samples, size_t count) {
    return samples[count - 1].time_s - samples[0].time_s;
}

static bool take_drag_off_until_settled(const sp_sample *samples, const sp_whitening *whitening,
                                        size_t count, sp_air air, sp_sample *freed,
                                        sp_trajectory *path, sp_error *error) {
    const double size = sp_point_distance(samples[0].at, samples[count / 2].at) +
                        sp_point_distance(samples[count / 2].at, samples[count - 1].at);
    for (int round = 0; round < ROUNDS_MAX; round++) {
        motion of = {{path->x[1], path->y[1]}, {2 * path->x[2], 2 * path->y[2]}, 0};
        const double weight = sp_point_length(of.acceleration);
        of.drag = air.drag_per_m * (air.m_per_unit > 0 ? air.m_per_unit : SP_GRAVITY / weight);
        const double speed = greatest_speed(&of, span_of(samples, count) / 2);
        if (!(of.drag * speed * speed < DRAG_SHARE_MAX * weight)) break;
        const double change = take_drag_off(&of, samples, count, path->t0, freed);
        if (!sp_trajectory_fit(freed, whitening, count, 2, path->t0, path)) break;
        if (change <= SETTLED * size) return true;
    }
    return sp_fail(
        error, SP_ERROR_ARGUMENT,
        "the ball's path is not that of a toss: the air would hold it more than it falls; "
        "take only frames between release and contact");
}

/* The noise-free deviation of a coefficient is a unit; the caller knows the noise. */
static double bend_of(const sp_sample *freed, const sp_whitening *whitening, size_t count,
                      double t0) {
    sp_trajectory cubic;
    if (count < 5 || !sp_trajectory_fit(freed, whitening, count, 3, t0, &cubic)) return 0;
    return fmax(fabs(cubic.x[3]) / sqrt(cubic.covariance[3 * 8 + 3]),
                fabs(cubic.y[3]) / sqrt(cubic.covariance[7 * 8 + 7]));
}

static bool usable(const sp_sample *samples, size_t count, sp_error *error) {
    if (count < SP_TOSS_SAMPLES_MIN)
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "the ball is marked on %zu frames between release and contact; mark it on at "
            "least %d",
            count, SP_TOSS_SAMPLES_MIN);
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(samples[i].at.x) || !isfinite(samples[i].at.y) ||
            !isfinite(samples[i].time_s) || (i > 0 && !(samples[i].time_s > samples[i - 1].time_s)))
            return sp_fail(
                error, SP_ERROR_ARGUMENT,
                "the times of the ball's frames do not increase at frame %zu of the toss; "
                "check the clip's timestamps",
                i);
    }
    return true;
}

bool sp_free_fall_fit(const sp_sample *samples, const sp_whitening *whitening, size_t count,
                      sp_air air, sp_free_fall *fall, sp_error *error) {
    if (!usable(samples, count, error)) return false;
    const double t0 = samples[0].time_s + span_of(samples, count) / 2;
    sp_sample *free_of_drag = malloc(count * sizeof *free_of_drag);
    if (free_of_drag == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the toss's %zu frames", count);
    for (size_t i = 0; i < count; i++) free_of_drag[i] = samples[i];
    bool done = sp_trajectory_fit(samples, whitening, count, 2, t0, &fall->path);
    if (!done)
        sp_fail(error, SP_ERROR_ARGUMENT,
                "the ball's frames do not determine its path; mark it on more frames");
    else if (air.drag_per_m > 0)
        done = take_drag_off_until_settled(samples, whitening, count, air, free_of_drag,
                                           &fall->path, error);
    if (done) fall->bend = bend_of(free_of_drag, whitening, count, t0);
    free(free_of_drag);
    return done;
}
