/* The one wrapper for uncertainty: draw the inputs, run the same pure function, take percentiles
 * (JCGM 101:2008, probabilistically symmetric 95 % interval). */
#ifndef SERVEPLUMB_DRAWS_H
#define SERVEPLUMB_DRAWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"
#include "serveplumb/interval.h"

#define SP_DRAWS_DEFAULT 2000
#define SP_DRAWS_SEED 20270314u

/* A stream of random numbers; the same seed gives the same numbers on every machine. */
typedef struct sp_random sp_random;
sp_random *sp_random_new(uint64_t seed, sp_error *error);
void sp_random_free(sp_random *random);
double sp_random_normal(sp_random *random); /* mean 0, sd 1 */
double sp_random_uniform(sp_random *random, double low, double high);

/* Runs once with everything at its best value (`random` NULL: each draw gives its mean), then
 * `draws` times with random inputs. Fills `outputs` values a run; NAN where a run has none. */
typedef void sp_draw_function(const void *inputs, sp_random *random, double *outputs);

/* intervals[i] for each of `outputs`: value from the run at the best values, low and high the 2.5
 * and 97.5 percentiles of the runs (widened to hold the value). All NAN when the best run gave NAN
 * or more than a tenth of the draws did. draws 0: SP_DRAWS_DEFAULT. */
bool sp_draws_run(sp_draw_function *function, const void *inputs, size_t outputs, size_t draws,
                  uint64_t seed, sp_interval *intervals, sp_error *error);

#endif
