/* Worked examples that were published, each with its source. Digits beyond those printed are of the
 * same data, worked out by SciPy 1.10. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "near.h"
#include "serveplumb/statistics.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* Student (1908) The probable error of a mean, Biometrika 6:1-25: hours of sleep gained by two
 * drugs; the help page of R's data set `sleep` prints t = -1.8608, df = 17.776, p-value = 0.07939,
 * 95 percent -3.3654832 to 0.2054832 (first less second). */
static const double sleep_1[] = {0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0};
static const double sleep_2[] = {1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};

static void welch_of_students_sleep_is_as_printed(void **state) {
    (void)state;
    sp_welch welch;
    assert_true(sp_welch_test(sp_summary_of(sleep_1, 10), sp_summary_of(sleep_2, 10), &welch));
    assert_near(welch.difference.value, 1.58, 1e-12);
    assert_near(welch.t, 1.8608, 5e-5);
    assert_near(welch.df, 17.776, 5e-4);
    assert_near(welch.p, 0.07939, 5e-6);
    assert_near(welch.difference.low, -0.2054832, 5e-8);
    assert_near(welch.difference.high, 3.3654832, 5e-8);
}

static void regroupings_of_students_sleep_are_counted(void **state) {
    (void)state;
    sp_permutation permutation;
    assert_true(sp_permutation_test(sleep_1, 10, sleep_2, 10, 0, &permutation, NULL));
    assert_true(permutation.exact);
    assert_near(permutation.regrouped, 184756, 0.5);
    assert_near(permutation.p, 15048.0 / 184756, 1e-12);
}

/* Fisher (1935) The Design of Experiments, section 21, on Darwin's maize, eighths of an inch: 863
 * of the 32,768 turns of signs give a sum of 314 or more. */
static void signs_of_darwins_maize_are_counted_as_fisher_did(void **state) {
    (void)state;
    static const double maize[] = {49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48};
    sp_permutation permutation;
    assert_true(sp_permutation_paired(maize, COUNT(maize), 0, &permutation, NULL));
    assert_true(permutation.exact);
    assert_near(permutation.p * 32768, 2 * 863, 1e-6);
    assert_near(permutation.p_error, 0, 0);
}

/* Efron and Tibshirani (1993) An Introduction to the Bootstrap, table 2.1: days that mice survived
 * after surgery, 7 treated and 9 not; they print the difference of means 30.63. */
static void mice_of_unequal_groups_are_regrouped(void **state) {
    (void)state;
    static const double treated[] = {94, 197, 16, 38, 99, 141, 23};
    static const double control[] = {52, 104, 146, 10, 51, 30, 40, 27, 46};
    sp_permutation permutation;
    assert_true(sp_permutation_test(control, 9, treated, 7, 0, &permutation, NULL));
    assert_near(permutation.regrouped, 11440, 0.5);
    assert_near(permutation.p, 3184.0 / 11440, 1e-12);
    sp_welch welch;
    assert_true(sp_welch_test(sp_summary_of(control, 9), sp_summary_of(treated, 7), &welch));
    assert_near(welch.difference.value, 30.63, 0.005);
    assert_near(welch.df, 9.6544901, 1e-6);
}

/* Bland and Altman (1986) Lancet i:307-310: peak flow by a Wright meter, twice; the deviation of
 * one reading's repeat about no change is printed as 21.6 l/min (from memory), and twice that as
 * the coefficient of repeatability. Here the mean change is apart, so that 1.96 SD is 42.6. */
static const double wright[][2] = {{494, 490}, {395, 397}, {516, 512}, {434, 401}, {476, 470},
                                   {557, 611}, {413, 415}, {442, 431}, {650, 638}, {433, 429},
                                   {417, 420}, {656, 633}, {267, 275}, {478, 492}, {178, 165},
                                   {423, 372}, {427, 421}};

static void peak_flow_has_the_repeatability_of_bland_and_altman(void **state) {
    (void)state;
    double first[COUNT(wright)], second[COUNT(wright)], squares = 0;
    for (size_t i = 0; i < COUNT(wright); i++) {
        first[i] = wright[i][0];
        second[i] = wright[i][1];
        squares += (first[i] - second[i]) * (first[i] - second[i]) / COUNT(wright);
    }
    assert_near(sqrt(squares), 21.6, 0.05);
    const sp_interval error = sp_typical_error(first, second, COUNT(wright));
    assert_near(error.value, 15.361215, 1e-6);
    assert_near(sp_detectable_change(error.value), 42.579114, 1e-5);
    const sp_interval again = sp_typical_error_of(&wright[0][0], COUNT(wright), 2);
    assert_near(again.value, error.value, 1e-9);
    assert_near(again.low, error.low, 1e-9);
    assert_near(again.high, error.high, 1e-9);
}

/* Shrout and Fleiss (1979) Psychol Bull 86:420-428, six targets by four judges: they print a mean
 * square within of 1.02 once judges are taken off. */
static void four_judges_have_the_mean_square_of_shrout_and_fleiss(void **state) {
    (void)state;
    static const double judged[] = {9, 2, 5, 8, 6,  1, 3, 2, 8, 4, 6, 8,
                                    7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};
    const sp_interval error = sp_typical_error_of(judged, 6, 4);
    assert_near(error.value * error.value, 1.02, 0.005);
    assert_near(error.value * error.value, 1.019444, 1e-6);
}

/* The table of t in any textbook (0.975). */
static void quantiles_are_those_of_the_tables(void **state) {
    (void)state;
    static const struct {
        double df, t;
    } rows[] = {{1, 12.706}, {2, 4.303}, {3, 3.182}, {5, 2.571}, {10, 2.228}, {30, 2.042}};
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_near(sp_t_quantile(0.975, rows[i].df), rows[i].t, 5e-4);
    assert_near(sp_t_quantile(0.975, INFINITY), 1.95996, 5e-6);
}

/* JCGM 100:2008 (GUM), H.1.6, an end gauge (from memory): 25, 9.7, 2.9 and 16.6 nm with 18, 25.6,
 * 50 and 2 degrees of freedom come to 16.7. */
static void degrees_of_freedom_of_the_end_gauge_are_those_of_the_guide(void **state) {
    (void)state;
    static const double u[] = {25, 9.7, 2.9, 16.6}, dfs[] = {18, 25.6, 50, 2};
    double variances[4];
    for (int i = 0; i < 4; i++) variances[i] = u[i] * u[i];
    assert_near(sp_effective_df(variances, dfs, 4), 16.7, 0.1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(welch_of_students_sleep_is_as_printed),
        cmocka_unit_test(regroupings_of_students_sleep_are_counted),
        cmocka_unit_test(signs_of_darwins_maize_are_counted_as_fisher_did),
        cmocka_unit_test(mice_of_unequal_groups_are_regrouped),
        cmocka_unit_test(peak_flow_has_the_repeatability_of_bland_and_altman),
        cmocka_unit_test(four_judges_have_the_mean_square_of_shrout_and_fleiss),
        cmocka_unit_test(quantiles_are_those_of_the_tables),
        cmocka_unit_test(degrees_of_freedom_of_the_end_gauge_are_those_of_the_guide),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
