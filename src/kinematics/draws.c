#include "serveplumb/draws.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_sort.h>

/* Runs without a value tell that the measure hangs by a thread; up to this share they are left
 * out, beyond it there is no honest interval. */
static const double LOST_SHARE = 0.1;

/* Of each end so many are put in order that the quantiles asked for lie among them. */
static const double END_SHARE = 0.05;

static size_t keep_numbers(double *values, size_t count) {
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (!isnan(values[i])) values[kept++] = values[i];
    return kept;
}

/* Above so many at each end, putting them in by hand takes longer than sorting all. */
enum { END_MAX = 1000 };

/* The middle is never looked at, and most of the time of sorting would go there. `room`: two ends.
 */
static void sort_ends(double *values, size_t count, double *room) {
    const size_t end = (size_t)(END_SHARE * (double)count) + 2;
    if (2 * end >= count || end > END_MAX) {
        gsl_sort(values, 1, count);
        return;
    }
    double *smallest = room, *largest = room + end;
    gsl_sort_smallest(smallest, end, values, 1, count);
    gsl_sort_largest(largest, end, values, 1, count);
    for (size_t i = 0; i < end; i++) {
        values[i] = smallest[i];
        values[count - 1 - i] = largest[i];
    }
}

/* Below which a share of all further draws lies, by expectation: between the draws of rank
 * share (n + 1) (Hyndman and Fan 1996, definition 6; from memory). The more usual share (n - 1) + 1
 * leaves 95 % a little short: 94.6 % with 500 draws, 94.9 % with 2,000. */
static double quantile(const double *sorted, size_t count, double share) {
    const double rank = fmin(fmax(share * ((double)count + 1), 1), (double)count);
    const size_t below = (size_t)rank;
    if (below >= count) return sorted[count - 1];
    return sorted[below - 1] + (rank - (double)below) * (sorted[below] - sorted[below - 1]);
}

/* Where many draws lie at one end of what is possible (a share that cannot be above 1), the
 * interval reaches from there: the shortest that holds 95 % (JCGM 101, 5.3.4). */
static sp_interval ends_of(const double *sorted, size_t count) {
    double low = quantile(sorted, count, 0.025), high = quantile(sorted, count, 0.975);
    const bool floor = low == sorted[0], ceiling = high == sorted[count - 1];
    if (floor && !ceiling) high = quantile(sorted, count, 0.95);
    if (ceiling && !floor) low = quantile(sorted, count, 0.05);
    return (sp_interval){NAN, low, high};
}

static sp_interval interval_of(double value, double *values, size_t draws, double *room) {
    const size_t kept = keep_numbers(values, draws);
    if (isnan(value) || (double)(draws - kept) > LOST_SHARE * (double)draws)
        return (sp_interval){NAN, NAN, NAN};
    sort_ends(values, kept, room);
    const sp_interval ends = ends_of(values, kept);
    return (sp_interval){value, fmin(ends.low, value), fmax(ends.high, value)};
}

/* Output i of draw d stands at [i * draws + d], so that each output can be sorted in place. */
static void draw_all(sp_draw_function *function, const void *inputs, size_t outputs, size_t draws,
                     sp_random *random, double *one, double *all) {
    for (size_t d = 0; d < draws; d++) {
        function(inputs, random, one);
        for (size_t i = 0; i < outputs; i++) all[i * draws + d] = one[i];
    }
}

bool sp_draws_run(sp_draw_function *function, const void *inputs, size_t outputs, size_t draws,
                  uint64_t seed, sp_interval *intervals, sp_error *error) {
    if (outputs == 0) return true;
    if (draws == 0) draws = SP_DRAWS_DEFAULT;
    sp_random *random = sp_random_new(seed, error);
    if (random == NULL) return false;
    double *best = calloc(outputs, sizeof *best);
    double *one = calloc(outputs, sizeof *one);
    double *all = draws <= SIZE_MAX / outputs ? calloc(draws * outputs, sizeof *all) : NULL;
    double *ends = calloc(draws + 4, sizeof *ends);
    const bool room = best != NULL && one != NULL && all != NULL && ends != NULL;
    if (room) {
        function(inputs, NULL, best);
        draw_all(function, inputs, outputs, draws, random, one, all);
        for (size_t i = 0; i < outputs; i++)
            intervals[i] = interval_of(best[i], all + i * draws, draws, ends);
    } else {
        sp_fail(error, SP_ERROR_MEMORY, "no memory left for %zu draws; ask for fewer", draws);
    }
    free(ends);
    free(all);
    free(one);
    free(best);
    sp_random_free(random);
    return room;
}
