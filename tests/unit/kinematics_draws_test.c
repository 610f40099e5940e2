/* The Monte Carlo wrapper. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/draws.h"

typedef struct {
    double mean, sd, half_width;
} belief;

static void one_normal_one_flat(const void *inputs, sp_random *random, double *outputs) {
    const belief *b = inputs;
    outputs[0] = b->mean + b->sd * sp_random_normal(random);
    outputs[1] = sp_random_uniform(random, b->mean - b->half_width, b->mean + b->half_width);
}

static void intervals_of_known_distributions_come_out(void **state) {
    (void)state;
    const belief inputs = {7.3, 1.9, 4.2};
    sp_interval intervals[2];
    assert_true(sp_draws_run(one_normal_one_flat, &inputs, 2, 200000, 41, intervals, NULL));
    assert_near(intervals[0].value, 7.3, 0);
    assert_near(intervals[0].low, 7.3 - 1.959964 * 1.9, 0.03);
    assert_near(intervals[0].high, 7.3 + 1.959964 * 1.9, 0.03);
    assert_near(intervals[1].value, 7.3, 1e-15);
    assert_near(intervals[1].low, 7.3 - 0.95 * 4.2, 0.03);
    assert_near(intervals[1].high, 7.3 + 0.95 * 4.2, 0.03);
}

static void same_seed_same_numbers_other_seed_others(void **state) {
    (void)state;
    const belief inputs = {-3.1, 0.7, 1.1};
    sp_interval one[2], again[2], other[2];
    assert_true(sp_draws_run(one_normal_one_flat, &inputs, 2, 0, SP_DRAWS_SEED, one, NULL));
    assert_true(sp_draws_run(one_normal_one_flat, &inputs, 2, 0, SP_DRAWS_SEED, again, NULL));
    assert_true(sp_draws_run(one_normal_one_flat, &inputs, 2, 0, 12, other, NULL));
    assert_memory_equal(one, again, sizeof one);
    assert_true(one[0].low != other[0].low);
}

/* mt19937 with seed 5489 begins with 3499211612 (Matsumoto and Nishimura's own reference output).
 */
static void generator_is_the_reference_twister(void **state) {
    (void)state;
    sp_random *random = sp_random_new(5489, NULL);
    assert_non_null(random);
    assert_near(sp_random_uniform(random, 0, 1), 3499211612.0 / 4294967296.0, 0);
    sp_random_free(random);
    sp_random_free(NULL);
}

typedef struct {
    double lost_share;
} losing;

static void sometimes_none(const void *inputs, sp_random *random, double *outputs) {
    const double lost = ((const losing *)inputs)->lost_share;
    const double share = sp_random_uniform(random, 0, 1);
    outputs[0] = random != NULL && share < lost ? NAN : 2.5;
    outputs[1] = random == NULL ? NAN : share;
}

static void too_many_lost_draws_leave_no_interval(void **state) {
    (void)state;
    sp_interval intervals[2];
    losing few = {0.06}, many = {0.14};
    assert_true(sp_draws_run(sometimes_none, &few, 2, 3000, 7, intervals, NULL));
    assert_near(intervals[0].value, 2.5, 0);
    assert_near(intervals[0].low, 2.5, 0);
    assert_true(sp_draws_run(sometimes_none, &many, 2, 3000, 7, intervals, NULL));
    assert_none(intervals[0].value);
    assert_none(intervals[0].low);
}

static void no_best_value_means_no_interval(void **state) {
    (void)state;
    sp_interval intervals[2];
    losing none = {0};
    assert_true(sp_draws_run(sometimes_none, &none, 2, 50, 7, intervals, NULL));
    assert_none(intervals[1].value);
    assert_none(intervals[1].high);
}

static void skewed(const void *inputs, sp_random *random, double *outputs) {
    (void)inputs;
    outputs[0] = random == NULL ? 0 : fabs(sp_random_normal(random)) + 0.4;
}

static void interval_always_holds_the_value(void **state) {
    (void)state;
    sp_interval interval;
    assert_true(sp_draws_run(skewed, NULL, 1, 500, 7, &interval, NULL));
    assert_near(interval.low, 0, 0);
    assert_true(interval.high > 2);
}

static void draws_that_no_memory_holds_fail_in_words(void **state) {
    (void)state;
    const belief inputs = {1, 1, 1};
    sp_interval intervals[2];
    sp_error error = {0};
    assert_false(sp_draws_run(one_normal_one_flat, &inputs, 2, SIZE_MAX, 1, intervals, &error));
    assert_int_equal(error.code, SP_ERROR_MEMORY);
}

typedef struct {
    double *values;
    size_t *count;
} written_down;

static void normal_written_down(const void *inputs, sp_random *random, double *outputs) {
    const written_down *w = inputs;
    outputs[0] = floor(41.3 * sp_random_normal(random)) / 7; /* many are equal */
    if (random != NULL) w->values[(*w->count)++] = outputs[0];
}

static int by_size(const void *one, const void *other) {
    const double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

/* R's type 6: between the values of rank (n + 1) f, in proportion. */
static double quantile(const double *sorted, size_t count, double share) {
    const double rank = fmin(fmax((double)(count + 1) * share, 1), (double)count);
    const double lower = floor(rank), part = rank - lower;
    const size_t first = (size_t)lower - 1, second = first + 1 < count ? first + 1 : first;
    return (1 - part) * sorted[first] + part * sorted[second];
}

/* Only the ends are sorted: against all of them sorted by the C library. */
static void ends_are_those_of_all_draws_sorted(void **state) {
    (void)state;
    static const size_t counts[] = {1, 2, 39, 40, 41, 83, 2000, 19957, 20101, 60013};
    static double values[60013];
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        size_t count = 0;
        const written_down inputs = {values, &count};
        sp_interval got;
        assert_true(sp_draws_run(normal_written_down, &inputs, 1, counts[i], 5 + i, &got, NULL));
        assert_int_equal(count, counts[i]);
        qsort(values, count, sizeof *values, by_size);
        double low = quantile(values, count, 0.025), high = quantile(values, count, 0.975);
        const bool floor_hit = low == values[0], ceiling_hit = high == values[count - 1];
        if (floor_hit && !ceiling_hit) high = quantile(values, count, 0.95);
        if (ceiling_hit && !floor_hit) low = quantile(values, count, 0.05);
        assert_near(got.low, fmin(low, got.value), 1e-12);
        assert_near(got.high, fmax(high, got.value), 1e-12);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(intervals_of_known_distributions_come_out),
        cmocka_unit_test(same_seed_same_numbers_other_seed_others),
        cmocka_unit_test(generator_is_the_reference_twister),
        cmocka_unit_test(too_many_lost_draws_leave_no_interval),
        cmocka_unit_test(no_best_value_means_no_interval),
        cmocka_unit_test(interval_always_holds_the_value),
        cmocka_unit_test(draws_that_no_memory_holds_fail_in_words),
        cmocka_unit_test(ends_are_those_of_all_draws_sorted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
