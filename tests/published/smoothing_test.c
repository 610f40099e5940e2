/* Butterworth's filter against Winter's formula as computed elsewhere, and against a published
 * benchmark of derivatives. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/smoothing.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* Winter (2009), ch. 3, computed in NumPy; equal to SciPy's design to 1e-12. */
static void coefficients_are_winters(void **state) {
    (void)state;
    const struct {
        double rate, cutoff;
        int passes;
        double a0, a1, b1, b2;
    } rows[] = {
        {60, 6, 2, 0.09444674388485, 0.18889348776970, 0.96264130884421, -0.34042828438361},
        {100, 10, 2, 0.09444674388485, 0.18889348776970, 0.96264130884421, -0.34042828438361},
        {120, 12, 2, 0.09444674388485, 0.18889348776970, 0.96264130884421, -0.34042828438361},
        {240, 12, 2, 0.02956907471621, 0.05913814943243, 1.45810386046134, -0.57638015932619},
        {49.7512437811, 6, 2, 0.12641315725002, 0.25282631450004, 0.77383709793299,
         -0.27948972693308},
        {100, 10, 1, 0.06745527388907, 0.13491054777814, 1.14298050253990, -0.41280159809619},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        sp_butterworth filter;
        assert_true(
            sp_butterworth_design(rows[i].rate, rows[i].cutoff, rows[i].passes, &filter, NULL));
        assert_near(filter.a0, rows[i].a0, 1e-12);
        assert_near(filter.a1, rows[i].a1, 1e-12);
        assert_near(filter.a2, rows[i].a0, 1e-12);
        assert_near(filter.b1, rows[i].b1, 1e-12);
        assert_near(filter.b2, rows[i].b2, 1e-12);
        assert_near(filter.a0 + filter.a1 + filter.a2 + filter.b1 + filter.b2, 1, 1e-14);
    }
}

/* 60 values a second, 6 Hz, 9 values of point reflection, steady start; computed in SciPy. */
static void step_is_answered_as_computed_elsewhere(void **state) {
    (void)state;
    const double step[] = {0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1};
    const double expected[] = {-0.000024853, -0.007295951, 0.030862462, 0.153431209,
                               0.368757840,  0.627623257,  0.848095800, 0.981394878,
                               1.034495739,  1.038985112,  1.022177615, 0.999507846};
    double smooth[COUNT(step)];
    assert_true(sp_smooth(step, COUNT(step), 60, 6, 9, smooth, NULL));
    for (size_t i = 0; i < COUNT(step); i++) assert_near(smooth[i], expected[i], 1e-6);
}

/* --- Pezzack, Norman and Winter 1977, J Biomech 10:377-382 ------------------------------------ */

#define PEZZACK 142
typedef struct {
    double raw[PEZZACK], noisy[PEZZACK], acceleration[PEZZACK];
} benchmark;

static bool read_benchmark(benchmark *data) {
    FILE *file = fopen("../shared/reference/pezzack.csv", "r");
    if (file == NULL) return false;
    char line[512];
    size_t count = 0;
    while (fgets(line, sizeof line, file) != NULL && count < PEZZACK)
        if (sscanf(line, "%*f,%lf,%lf,%lf", &data->raw[count], &data->noisy[count],
                   &data->acceleration[count]) == 3)
            count++;
    fclose(file);
    assert_int_equal(count, PEZZACK);
    return true;
}

/* cmocka's own skip counts as a failure in TAP. */
static bool benchmark_is_there(benchmark *data) {
    if (read_benchmark(data)) return true;
    printf("skipped: ../shared/reference/pezzack.csv is not there\n");
    return false;
}

static const double STEP_S = 0.0201;

/* Second central difference against the accelerometer, values 10..131. */
static double acceleration_rms(const double *angle, const double *truth) {
    double sum = 0;
    for (size_t i = 10; i <= 131; i++) {
        const double a = (angle[i + 1] - 2 * angle[i] + angle[i - 1]) / (STEP_S * STEP_S);
        sum += (a - truth[i]) * (a - truth[i]);
    }
    return sqrt(sum / 122);
}

static double smoothed_rms(const double *angle, const double *truth, double cutoff) {
    double smooth[PEZZACK];
    assert_true(sp_smooth(angle, PEZZACK, 1 / STEP_S, cutoff, 20, smooth, NULL));
    return acceleration_rms(smooth, truth);
}

/* Root mean squares computed in SciPy from the same file; 0.02 for the start of the filter. */
static void derivatives_of_the_benchmark_are_as_good_as_computed_elsewhere(void **state) {
    (void)state;
    benchmark data;
    if (!benchmark_is_there(&data)) return;
    assert_near(acceleration_rms(data.raw, data.acceleration), 10.929, 0.001);
    assert_near(acceleration_rms(data.noisy, data.acceleration), 34.036, 0.001);
    const struct {
        double cutoff, raw, noisy, residual;
    } rows[] = {{4, 5.319, 5.285, 0.004438},  {5, 4.635, 4.796, 0.002418},
                {6, 4.384, 5.017, 0.001692},  {7, 4.341, 5.737, 0.001410},
                {8, 4.394, 6.844, 0.001281},  {9, 4.497, 8.217, 0.001202},
                {10, 4.641, 9.708, 0.001138}, {12, 5.068, 12.659, 0.001018}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_near(smoothed_rms(data.raw, data.acceleration, rows[i].cutoff), rows[i].raw, 0.02);
        assert_near(smoothed_rms(data.noisy, data.acceleration, rows[i].cutoff), rows[i].noisy,
                    0.02);
        assert_near(sp_smoothing_residual(data.raw, PEZZACK, 1 / STEP_S, rows[i].cutoff),
                    rows[i].residual, 2e-6);
    }
}

/* Filtering cuts the noisy error more than sixfold at 5 Hz, and the cut-off that the residuals give
 * comes near the best, whether noise was added or not. */
static void chosen_cutoff_comes_near_the_best_one(void **state) {
    (void)state;
    benchmark data;
    if (!benchmark_is_there(&data)) return;
    sp_cutoff raw, noisy;
    assert_true(sp_smoothing_cutoff(data.raw, PEZZACK, 1 / STEP_S, &raw, NULL));
    assert_true(sp_smoothing_cutoff(data.noisy, PEZZACK, 1 / STEP_S, &noisy, NULL));
    assert_true(acceleration_rms(data.noisy, data.acceleration) >
                6 * smoothed_rms(data.noisy, data.acceleration, 5));
    assert_true(smoothed_rms(data.raw, data.acceleration, raw.cutoff_hz) < 1.25 * 4.341);
    assert_true(smoothed_rms(data.noisy, data.acceleration, noisy.cutoff_hz) < 1.25 * 4.796);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coefficients_are_winters),
        cmocka_unit_test(step_is_answered_as_computed_elsewhere),
        cmocka_unit_test(derivatives_of_the_benchmark_are_as_good_as_computed_elsewhere),
        cmocka_unit_test(chosen_cutoff_comes_near_the_best_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
