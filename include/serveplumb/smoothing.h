/* Smoothing of evenly timed values without a lag: Butterworth's filter of second order, forward and
 * backward. Not across contact: an impact is smeared into the frames before it.
 *
 * Source: Winter DA (2009) Biomechanics and Motor Control of Human Movement, ch. 3. The cut-off is
 * corrected for two passes on the pre-warped frequency, so that the gain of both passes together is
 * 1/sqrt 2 exactly at the cut-off. Ends are prolonged by point reflection, and each pass starts in
 * the steady state of its first value. Pure functions; the caller owns all arrays. */
#ifndef SERVEPLUMB_SMOOTHING_H
#define SERVEPLUMB_SMOOTHING_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"

/* y[i] = a0 x[i] + a1 x[i-1] + a2 x[i-2] + b1 y[i-1] + b2 y[i-2] */
typedef struct {
    double a0, a1, a2, b1, b2;
} sp_butterworth;

/* Coefficients for a gain of 1/sqrt 2 at cutoff_hz after `passes` (1 or 2) at `rate` values a
 * second. Errors: SP_ERROR_ARGUMENT when cutoff_hz is not above 0 or, corrected for the passes, at
 * or above half the rate (0.401 of the rate for two). */
bool sp_butterworth_design(double rate, double cutoff_hz, int passes, sp_butterworth *filter,
                           sp_error *error);

/* Values that the ends are prolonged by when nothing else is said (Smith 1989, J Biomech
 * 22:967-971, about 20; from memory), or as many as there are but one. */
#define SP_SMOOTHING_PADDING 20
#define SP_SMOOTHING_SAMPLES_MIN 10

/* Two passes over `count` values into `smooth` (may be `values`). padding 0: the default; it must
 * be below count. Values within about rate / cutoff_hz of an end should not be derived twice.
 * Errors: SP_ERROR_ARGUMENT (fewer than SP_SMOOTHING_SAMPLES_MIN values, one that is not finite,
 * padding, cut-off), SP_ERROR_MEMORY. */
bool sp_smooth(const double *values, size_t count, double rate, double cutoff_hz, size_t padding,
               double *smooth, sp_error *error);

/* --- choosing the cut-off -------------------------------------------------------------------- */

/* Fewer values cannot tell noise from motion. */
#define SP_CUTOFF_SAMPLES_MIN 30

typedef struct {
    double cutoff_hz;
    double noise; /* root mean square, in units of the values: the line's height at 0 Hz */
} sp_cutoff;

/* Root mean square of what smoothing at cutoff_hz takes away; NAN where sp_smooth would fail. */
double sp_smoothing_residual(const double *values, size_t count, double rate, double cutoff_hz);

/* Residual analysis (Winter 2009): the line through the residuals of high cut-offs, where only
 * noise is taken away, meets 0 Hz at the noise; the cut-off is where the residuals rise above it.
 * The line is fitted from half of the highest usable cut-off on, 0.4 of the rate. Known to smooth
 * rather too much. Errors: SP_ERROR_ARGUMENT when there are fewer than SP_CUTOFF_SAMPLES_MIN values
 * or no crossing; SP_ERROR_MEMORY. */
bool sp_smoothing_cutoff(const double *values, size_t count, double rate, sp_cutoff *cutoff,
                         sp_error *error);

/* --- even times ------------------------------------------------------------------------------ */

/* A gap of more than this many usual steps is not bridged. */
#define SP_RESAMPLE_GAP_MAX 4.0

/* `count` values at increasing times onto as many even times from the first to the last, by the
 * natural cubic spline, which goes through every value and keeps more of fast motion than straight
 * lines do. `rate` gets the even rate, values a second. Errors: SP_ERROR_ARGUMENT (fewer than
 * SP_SMOOTHING_SAMPLES_MIN, times that do not increase, a gap too long, which is named);
 * SP_ERROR_MEMORY. */
bool sp_resample(const double *times_s, const double *values, size_t count, double *even,
                 double *rate, sp_error *error);

#endif
