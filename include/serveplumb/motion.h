/* Speed from positions at uneven times: local polynomials by least squares. Pure functions.
 * Formula: derivative at t0 of the least-squares polynomial through the samples (Savitzky and Golay
 * 1964 for even spacing; here the same with the true times). */
#ifndef SERVEPLUMB_MOTION_H
#define SERVEPLUMB_MOTION_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/point.h"

#define SP_MOTION_SAMPLES_MAX 15

typedef struct {
    double time_s;
    sp_point at;
} sp_sample;

typedef struct {
    sp_point position;     /* of the fit at `t0` */
    sp_point velocity;     /* per second */
    sp_point acceleration; /* per second squared; zero for degree 1 */
    double noise_gain;     /* sd of one velocity component per unit sd of one coordinate, 1/s */
} sp_motion;

/* Fits polynomials of `degree` (1..3) to both coordinates of `count` samples (degree + 1 to
 * SP_MOTION_SAMPLES_MAX, times strictly increasing) and evaluates them at t0. False when the count,
 * the degree or the times do not allow it. */
bool sp_motion_fit(const sp_sample *samples, size_t count, int degree, double t0,
                   sp_motion *motion);

/* What to multiply each of `count` samples by, so that the sum is the derivative at t0 of their
 * least-squares polynomial. For many fits at the same times. Conditions as for sp_motion_fit. */
bool sp_motion_weights(const double *times_s, size_t count, int degree, double t0, double *weights);

/* Length travelled along the path up to each sample, the first at 0; any `count`. A chord counts as
 * the arc of a circle that turns as the path does there (derived: arc/chord = (a/2) / sin(a/2) for
 * a turn of a). */
void sp_motion_travel(const sp_sample *samples, size_t count, double *lengths);

/* Speed along the path at t0: the same fit, but to the length travelled, in which a fast turn is a
 * nearly straight line, so that few samples a turn do not bend the answer. For points that move
 * well more than their noise from a sample to the next: noise lengthens a path. False as for
 * sp_motion_fit. */
bool sp_motion_speed_along(const sp_sample *samples, size_t count, int degree, double t0,
                           double *speed);

/* How a point that strikes something moves as it meets it: its speed goes on growing by a share of
 * itself each second, about as often more as less. */
typedef struct {
    double gain_per_s, gain_sd_per_s;
} sp_strike;

/* The same speed, and the highest up to then within the samples, for a point that strikes at t0, at
 * or after the last of 4 or more samples. A cubic to the length travelled, with the strike's gain
 * as one more observation beside the samples, each of which has the deviation `noise` (> 0):
 * without it the end of a cubic is three times noisier, and the end of a parabola runs on as the
 * speed grew before (least squares with a prior, derived). */
bool sp_motion_speed_striking(const sp_sample *samples, size_t count, double t0, double noise,
                              const sp_strike *strike, double *speed, double *highest);

#endif
