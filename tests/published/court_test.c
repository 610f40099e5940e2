/* Court distances against ITF CS 04/02 (court testing, dimensions; also the 2015 ITF Technical
 * Booklet, table 5) and the Rules of Tennis, Rule 1 and Appendix VIII. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/court.h"

static double metres(const char *id) {
    const sp_court_distance *distance = sp_court_distance_find(id);
    if (distance == NULL) print_error("no distance %s\n", id);
    assert_non_null(distance);
    return distance->distance_m;
}

static double feet(const char *id) { return sp_court_distance_find(id)->feet; }

/* CS 04/02, criterion with its printed range. */
static void distances_lie_in_the_ranges_of_the_itf_test_method(void **state) {
    (void)state;
    const struct {
        const char *id;
        double low, high;
    } ranges[] = {
        {"baseline_singles", 8.22, 8.24},        {"baseline_doubles", 10.96, 10.98},
        {"baseline_alley", 1.37, 1.38},          {"baseline_to_net", 11.87, 11.91},
        {"service_box_depth", 6.38, 6.42},       {"baseline_half_singles", 4.11, 4.12},
        {"full_doubles_diagonal", 26.16, 26.21},
    };
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
        const double got = metres(ranges[i].id);
        if (got < ranges[i].low || got > ranges[i].high) print_error("%s\n", ranges[i].id);
        assert_true(got >= ranges[i].low && got <= ranges[i].high);
    }
}

/* Rule 1: 78, 27, 36, 21, 3, 3 1/2 ft; 1 ft = 0.3048 m. */
static void rule_1_is_kept_to_a_tenth_of_a_millimetre(void **state) {
    (void)state;
    assert_near(metres("baseline_singles"), 8.2296, 1e-12);
    assert_near(metres("baseline_doubles"), 10.9728, 1e-12);
    assert_near(metres("service_box_depth"), 6.4008, 1e-12);
    assert_near(metres("baseline_to_net") * 2, 23.7744, 1e-12);
    assert_near(metres("net_height_centre"), 0.9144, 1e-12);
    assert_near(metres("net_height_posts"), 1.0668, 1e-12);
}

/* Appendix VIII prints 53 ft 1 in for the half-court doubles diagonal (rounded to the inch); CS
 * 04/02 prints 85 ft 10.9 in for the whole one; a set-out guide 14.46 m for the singles one. */
static void printed_diagonals_agree_within_their_rounding(void **state) {
    (void)state;
    assert_near(feet("half_court_doubles_diagonal"), 53 + 1.0 / 12, 0.5 / 12);
    assert_near(feet("full_doubles_diagonal"), 85 + 10.9 / 12, 0.05 / 12);
    assert_near(metres("half_court_singles_diagonal"), 14.46, 0.005);
}

/* The table's own derivations: differences and Pythagoras from Rule 1. */
static void derived_distances_follow_from_rule_1(void **state) {
    (void)state;
    const double half = 27.0 / 2, depth = 39 - 21;
    const struct {
        const char *id;
        double along, across;
    } parts[] = {
        {"baseline_half_singles", 0, half},
        {"baseline_half_doubles", 0, 18},
        {"baseline_alley", 0, (36.0 - 27) / 2},
        {"back_court_depth", depth, 0},
        {"centre_mark_to_t", depth, 0},
        {"service_box_width", 0, half},
        {"service_line", 0, 27},
        {"centre_mark_to_service_corner", depth, half},
        {"doubles_corner_to_service_corner", depth, 4.5},
        {"back_court_singles_diagonal", depth, 27},
        {"service_box_diagonal", 21, half},
        {"both_boxes_diagonal", 21, 27},
        {"half_court_singles_diagonal", 39, 27},
        {"half_court_doubles_diagonal", 39, 36},
        {"full_singles_diagonal", 78, 27},
        {"full_doubles_diagonal", 78, 36},
        {"centre_mark_to_far_t", 60, 0},
        {"centre_mark_to_far_service_corner", 60, half},
    };
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        assert_digits(feet(parts[i].id), hypot(parts[i].along, parts[i].across), 1e-15);
        assert_digits(metres(parts[i].id), feet(parts[i].id) * 0.3048, 1e-15);
    }
}

/* CS 04/02: 0.1 %, at least 5 mm, 10 mm more with the net: 22 mm for net to baseline, 16 mm for net
 * to service line, 5 mm for the half width, 26 mm for the diagonal; rectangular (GUM 4.3.7). */
static void deviations_are_the_itf_tolerances_over_root_three(void **state) {
    (void)state;
    const struct {
        const char *id;
        double tolerance_m;
    } rows[] = {{"baseline_to_net", 0.022},
                {"service_box_depth", 0.0164},
                {"baseline_half_singles", 0.005},
                {"baseline_doubles", 0.011},
                {"full_doubles_diagonal", 0.0262}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_near(sp_court_distance_find(rows[i].id)->sd_m * sqrt(3), rows[i].tolerance_m,
                    0.0002);
}

static void each_distance_is_found_by_its_id_and_its_name_alone(void **state) {
    (void)state;
    for (size_t i = 0; i < sp_court_distance_count(); i++) {
        const sp_court_distance *distance = sp_court_distance_at(i);
        assert_ptr_equal(sp_court_distance_find(distance->id), distance);
        assert_ptr_equal(sp_court_distance_find(distance->name), distance);
        assert_true(strlen(distance->edges) > 0);
    }
    assert_null(sp_court_distance_find("baseline_half"));
    assert_null(sp_court_distance_find(""));
    assert_null(sp_court_distance_at(sp_court_distance_count()));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(distances_lie_in_the_ranges_of_the_itf_test_method),
        cmocka_unit_test(rule_1_is_kept_to_a_tenth_of_a_millimetre),
        cmocka_unit_test(printed_diagonals_agree_within_their_rounding),
        cmocka_unit_test(derived_distances_follow_from_rule_1),
        cmocka_unit_test(deviations_are_the_itf_tolerances_over_root_three),
        cmocka_unit_test(each_distance_is_found_by_its_id_and_its_name_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
