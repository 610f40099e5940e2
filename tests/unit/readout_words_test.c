/* The catalogue, the texts for people, and `measure --json`. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "../near.h"
#include "filmed.h"
#include "review/json.h"

/* --- catalogue ------------------------------------------------------------------------------- */
static void each_pair_of_id_and_moment_is_there_once(void **state) {
    (void)state;
    for (size_t i = 0; i < sp_catalogue_count(); i++)
        for (size_t j = 0; j < i; j++) {
            const sp_measure_kind *a = sp_catalogue_at(i), *b = sp_catalogue_at(j);
            assert_false(strcmp(a->id, b->id) == 0 && strcmp(a->moment, b->moment) == 0);
        }
    assert_null(sp_catalogue_at(sp_catalogue_count()));
}

static void catalogue_holds_all_that_is_promised(void **state) {
    (void)state;
    const char *const ids[] = {"hand_elbow_gap",
                               "hand_elbow_gap_ratio",
                               "tip_height_at_drop",
                               "tip_height_to_hips",
                               "elbow_angle",
                               "upper_arm_elevation",
                               "upper_arm_to_horizontal",
                               "forearm_to_plumb",
                               "racquet_to_plumb",
                               "racquet_to_forearm",
                               "trunk_lean",
                               "shoulder_tilt",
                               "hip_tilt",
                               "knee_angle_front",
                               "knee_angle_rear",
                               "racquet_beside_body",
                               "racquet_beside_body_angle",
                               "grip_overhang",
                               "head_shift",
                               "contact_height",
                               "contact_height_ratio",
                               "contact_ahead",
                               "toss_apex",
                               "toss_drop_to_contact",
                               "release_to_trophy",
                               "trophy_to_drop",
                               "drop_to_contact",
                               "racquet_head_speed",
                               "racquet_head_speed_peak",
                               "hand_speed",
                               "elbow_speed",
                               "ball_speed_off",
                               "ball_speed_flight"};
    for (size_t k = 0; k < sizeof ids / sizeof ids[0]; k++) {
        bool there = false;
        for (size_t i = 0; i < sp_catalogue_count(); i++)
            there = there || strcmp(sp_catalogue_at(i)->id, ids[k]) == 0;
        if (!there) print_error("no %s\n", ids[k]);
        assert_true(there);
    }
}

static void each_row_says_what_it_is(void **state) {
    (void)state;
    for (size_t i = 0; i < sp_catalogue_count(); i++) {
        const sp_measure_kind *kind = sp_catalogue_at(i);
        assert_true(strlen(kind->title) > 3 && strlen(kind->title) < 32);
        assert_true(kind->about[strlen(kind->about) - 1] == '.');
        assert_true(kind->views != 0);
        assert_true(kind->needs_scale ==
                    (kind->unit == SP_UNIT_METRE || kind->unit == SP_UNIT_METRE_PER_SECOND ||
                     strcmp(kind->id, "contact_height_ratio") == 0 ||
                     strstr(kind->id, "tip_speed") != NULL));
    }
}

static void sheet_asks_along_the_arm_to_the_racquet_first(void **state) {
    (void)state;
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = sp_catalogue_points("drop", SP_VIEW_BACK, SP_HAND_RIGHT, points);
    const sp_point_name expected[] = {
        SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_ELBOW,   SP_POINT_RIGHT_HAND, SP_POINT_RACQUET_BUTT,
        SP_POINT_RACQUET_TIP,    SP_POINT_LEFT_SHOULDER, SP_POINT_RIGHT_HIP,  SP_POINT_LEFT_HIP};
    assert_int_equal(count, sizeof expected / sizeof expected[0]);
    for (size_t i = 0; i < count; i++) assert_int_equal(points[i], expected[i]);
}

static void sheet_asks_a_left_hander_for_the_other_side(void **state) {
    (void)state;
    const char *const moments[] = {"release", "trophy", "drop", "contact", "finish"};
    for (size_t m = 0; m < 5; m++) {
        sp_point_name right[SP_POINT_COUNT], left[SP_POINT_COUNT];
        const size_t count = sp_catalogue_points(moments[m], SP_VIEW_SIDE, SP_HAND_RIGHT, right);
        assert_int_equal(sp_catalogue_points(moments[m], SP_VIEW_SIDE, SP_HAND_LEFT, left), count);
        for (size_t i = 0; i < count; i++)
            assert_int_equal(left[i], sp_point_for_hand(right[i], SP_HAND_LEFT));
    }
}

/* Whoever taps all that the sheet asks for gets every measure of the moments' own frames. */
static void points_that_are_asked_for_suffice(void **state) {
    (void)state;
    const sp_view views[] = {SP_VIEW_SIDE, SP_VIEW_BACK, SP_VIEW_FRONT, SP_VIEW_OBLIQUE};
    const char *const moments[] = {"trophy", "drop", "contact"};
    const char *const over_frames[] = {"head_shift", "toss", "speed"};
    for (size_t v = 0; v < 4; v++) {
        filmed f = filmed_new((film){.view = views[v]});
        for (int m = 0; m < 3; m++) {
            sp_point_name points[SP_POINT_COUNT];
            const size_t count = sp_catalogue_points(moments[m], views[v], SP_HAND_RIGHT, points);
            filmed_moment(&f, moments[m], 20 + 10 * m);
            for (size_t i = 0; i < count; i++)
                filmed_put(&f, 20 + 10 * m, points[i], 0.13 * (int)points[i] - 1 + 0.1 * m,
                           0.3 + (points[i] * 7 % 11) * 0.2);
        }
        filmed_scale(&f);
        sp_readout *r = filmed_read(&f, 50, 0);
        for (size_t i = 0; i < sp_readout_count(r); i++) {
            const sp_measure *got = sp_readout_at(r, i);
            bool needs_more = strcmp(got->kind->id, "release_to_trophy") == 0;
            for (size_t k = 0; k < 3; k++)
                needs_more = needs_more || strstr(got->kind->id, over_frames[k]) != NULL;
            if (needs_more || got->status == SP_STATUS_NOT_FROM_THIS_VIEW) continue;
            if (got->status >= SP_STATUS_NEEDS_POINTS)
                print_error("%s %s: %s\n", got->kind->id, got->kind->moment, got->note);
            assert_true(got->status < SP_STATUS_NEEDS_POINTS);
        }
        sp_readout_free(r);
        filmed_free(&f);
    }
}

/* --- texts ----------------------------------------------------------------------------------- */
static void assert_text(sp_unit unit, sp_interval v, sp_units units, const char *expected,
                        const char *expected_short) {
    const sp_measure_kind kind = {.unit = unit};
    const sp_measure measure = {.kind = &kind, .value = v, .status = SP_STATUS_OK};
    char text[80], brief[80];
    sp_measure_text(&measure, units, text, sizeof text);
    sp_measure_short_text(&measure, units, brief, sizeof brief);
    assert_string_equal(text, expected);
    assert_string_equal(brief, expected_short);
}

static void texts_have_as_many_digits_as_the_interval_deserves(void **state) {
    (void)state;
    const sp_units metric = SP_UNITS_METRIC;
    assert_text(SP_UNIT_METRE, (sp_interval){-0.0341, -0.0473, -0.0212}, metric,
                "-3.4 cm (-4.7 to -2.1)", "-3.4 cm");
    assert_text(SP_UNIT_DEGREE, (sp_interval){104.3, 101.2, 107.4}, metric, "104° (101 to 107)",
                "104°");
    assert_text(SP_UNIT_METRE_PER_SECOND, (sp_interval){31.1, 29.2, 33.3}, metric,
                "112 km/h (105 to 120)", "112 km/h");
    assert_text(SP_UNIT_METRE, (sp_interval){2.79, 2.52, 3.08}, metric, "2.8 m (2.5 to 3.1)",
                "2.8 m");
    assert_text(SP_UNIT_SECOND, (sp_interval){0.1458, 0.1393, 0.1523}, metric,
                "0.146 s (0.139 to 0.152)", "0.146 s");
    assert_text(SP_UNIT_RATIO, (sp_interval){1.524, 1.371, 1.672}, metric, "1.52 (1.37 to 1.67)",
                "1.52");
    assert_text(SP_UNIT_DEGREE, (sp_interval){-0.2, -4.4, 4.1}, metric, "0° (-4 to 4)", "0°");
    assert_text(SP_UNIT_DEGREE, (sp_interval){97, 31, 163}, metric, "97° (31 to 163)", "97°");
}

static void texts_of_feet_and_miles(void **state) {
    (void)state;
    const sp_units imperial = SP_UNITS_IMPERIAL;
    assert_text(SP_UNIT_METRE, (sp_interval){-0.0341, -0.0473, -0.0212}, imperial,
                "-1.3 in (-1.9 to -0.8)", "-1.3 in");
    assert_text(SP_UNIT_METRE, (sp_interval){2.79, 2.52, 3.08}, imperial, "9.2 ft (8.3 to 10.1)",
                "9.2 ft");
    assert_text(SP_UNIT_METRE_PER_SECOND, (sp_interval){31.1, 29.2, 33.3}, imperial,
                "70 mph (65 to 74)", "70 mph");
}

static void text_without_a_number_is_the_status(void **state) {
    (void)state;
    const sp_measure_kind kind = {.unit = SP_UNIT_METRE};
    for (int status = SP_STATUS_NEEDS_POINTS; status <= SP_STATUS_TOO_COARSE; status++) {
        const sp_measure measure = {
            .kind = &kind, .value = {NAN, NAN, NAN}, .status = (sp_status)status};
        char text[80], tiny[7];
        sp_measure_text(&measure, SP_UNITS_METRIC, text, sizeof text);
        assert_string_equal(text, sp_status_title((sp_status)status));
        sp_measure_short_text(&measure, SP_UNITS_METRIC, tiny, sizeof tiny);
        assert_int_equal(strlen(tiny), 6);
    }
}

/* --- JSON ------------------------------------------------------------------------------------ */
static double number_of(const cJSON *object, const char *member) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, member);
    if (item == NULL) print_error("no member %s\n", member);
    assert_non_null(item);
    if (cJSON_IsNull(item)) return NAN;
    return strtod(item->valuestring, NULL);
}

static const char *text_of(const cJSON *object, const char *member) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, member);
    assert_true(cJSON_IsString(item));
    return item->valuestring;
}

static bool same(double a, double b) { return (isnan(a) && isnan(b)) || !(a < b || a > b); }

static cJSON *json_of(const filmed *f, const sp_readout *r) {
    sp_error error = {0};
    char *text = sp_readout_detach_json(r, f->review, "a \"b\".review.json", &error);
    assert_non_null(text);
    cJSON *tree = sp_json_parse(text, strlen(text), "readout", &error);
    if (tree == NULL) print_error("%s\n%s\n", error.message, text);
    assert_non_null(tree);
    free(text);
    return tree;
}

static void json_reads_back_to_the_same_doubles(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_BACK, .tilt_deg = 0.7});
    sp_readout *r = filmed_read(&f, 333, 0);
    cJSON *tree = json_of(&f, r);
    assert_string_equal(text_of(tree, "review"), "a \"b\".review.json");
    assert_string_equal(text_of(tree, "view"), "back");
    const cJSON *measures = cJSON_GetObjectItemCaseSensitive(tree, "measures");
    assert_int_equal(cJSON_GetArraySize(measures), sp_readout_count(r));
    for (size_t i = 0; i < sp_readout_count(r); i++) {
        const cJSON *item = cJSON_GetArrayItem(measures, (int)i);
        const sp_measure *m = sp_readout_at(r, i);
        assert_string_equal(text_of(item, "id"), m->kind->id);
        assert_string_equal(text_of(item, "moment"), m->kind->moment);
        assert_string_equal(text_of(item, "unit"), sp_unit_id(m->kind->unit));
        assert_string_equal(text_of(item, "status"), sp_status_id(m->status));
        assert_string_equal(text_of(item, "note"), m->note);
        assert_true(same(number_of(item, "value"), m->value.value));
        assert_true(same(number_of(item, "low"), m->value.low));
        assert_true(same(number_of(item, "high"), m->value.high));
        assert_true(same(number_of(item, "frame"), m->frame < 0 ? (double)NAN : m->frame));
    }
    const cJSON *cautions = cJSON_GetObjectItemCaseSensitive(tree, "cautions");
    assert_int_equal(cJSON_GetArraySize(cautions), sp_readout_caution_count(r));
    cJSON_Delete(tree);
    sp_readout_free(r);
    filmed_free(&f);
}

static void json_tells_how_other_lines_agree(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_scale_entry other = *sp_review_scale_at(f.review, 0);
    other.distance_m *= 1.0923; /* the same taps: 9.23 % more metres per pixel */
    snprintf(other.id, sizeof other.id, "fence");
    other.distance_name[0] = '\0';
    assert_true(sp_review_set_scale(f.review, "fence", &other, NULL));
    sp_readout *r = filmed_read(&f, 333, 0);
    cJSON *tree = json_of(&f, r);
    const cJSON *scale = cJSON_GetObjectItemCaseSensitive(tree, "scale");
    const cJSON *agree = cJSON_GetObjectItemCaseSensitive(scale, "agree");
    assert_string_equal(text_of(scale, "id"), "baseline");
    assert_true(same(number_of(scale, "low"), sp_readout_scale(r).m_per_px.low));
    assert_int_equal(cJSON_GetArraySize(agree), 1);
    assert_string_equal(text_of(cJSON_GetArrayItem(agree, 0), "id"), "fence");
    assert_near(number_of(cJSON_GetArrayItem(agree, 0), "differs_percent"), 9.23, 1e-9);
    cJSON_Delete(tree);
    sp_readout_free(r);
    filmed_free(&f);
}

static void json_without_scale_says_null(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 10, 0);
    cJSON *tree = json_of(&f, r);
    assert_true(cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(tree, "scale")));
    cJSON_Delete(tree);
    sp_readout_free(r);
    filmed_free(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_pair_of_id_and_moment_is_there_once),
        cmocka_unit_test(catalogue_holds_all_that_is_promised),
        cmocka_unit_test(each_row_says_what_it_is),
        cmocka_unit_test(sheet_asks_along_the_arm_to_the_racquet_first),
        cmocka_unit_test(sheet_asks_a_left_hander_for_the_other_side),
        cmocka_unit_test(points_that_are_asked_for_suffice),
        cmocka_unit_test(texts_have_as_many_digits_as_the_interval_deserves),
        cmocka_unit_test(texts_of_feet_and_miles),
        cmocka_unit_test(text_without_a_number_is_the_status),
        cmocka_unit_test(json_reads_back_to_the_same_doubles),
        cmocka_unit_test(json_tells_how_other_lines_agree),
        cmocka_unit_test(json_without_scale_says_null),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
