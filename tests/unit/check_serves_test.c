/* Each check on simulated serves: one that meets it, one that does not, one within error, and one
 * filmed from where it cannot be seen. The measure that decides is set by placing the marks. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checked.h"

static const double RADIANS = 0.017453292519943295769;
static const double G = 9.80665;

static void put(filmed *f, int frame, sp_point_name name, double u, double w) {
    filmed_put(f, frame, name, u, w);
}

/* From (u, w) by `length` at `deg` above the horizontal. */
static void put_at(filmed *f, int frame, sp_point_name name, double u, double w, double length,
                   double deg) {
    put(f, frame, name, u + length * cos(deg * RADIANS), w + length * sin(deg * RADIANS));
}

/* --- drop ------------------------------------------------------------------------------------ */
static void serve_hand_low(filmed *f, double gap_m) {
    filmed_moment(f, "drop", DROP);
    put(f, DROP, SP_POINT_RIGHT_ELBOW, -0.21, 1.71);
    put(f, DROP, SP_POINT_RIGHT_HAND, -0.37, 1.71 + gap_m);
}

static void serve_tip_low(filmed *f, double height_m) {
    filmed_moment(f, "drop", DROP);
    put(f, DROP, SP_POINT_RIGHT_HIP, 0.08, 1.07);
    put(f, DROP, SP_POINT_LEFT_HIP, 0.24, 1.05);
    put(f, DROP, SP_POINT_RACQUET_TIP, -0.43, 1.06 + height_m);
}

static void serve_racquet_beside(filmed *f, double beside_m) {
    filmed_moment(f, "drop", DROP);
    put(f, DROP, SP_POINT_RIGHT_HIP, 0.17, 1.02);
    put(f, DROP, SP_POINT_LEFT_HIP, -0.14, 1.03);
    put(f, DROP, SP_POINT_RIGHT_SHOULDER, 0.17, 1.49);
    put(f, DROP, SP_POINT_LEFT_SHOULDER, -0.16, 1.58);
    put(f, DROP, SP_POINT_RACQUET_TIP, 0.17 + beside_m, 0.98);
    put(f, DROP, SP_POINT_RACQUET_BUTT, 0.14 + beside_m, 1.64);
}

/* --- trophy ---------------------------------------------------------------------------------- */
static void serve_grip(filmed *f, double overhang_m) {
    filmed_moment(f, "trophy", TROPHY);
    put(f, TROPHY, SP_POINT_HAND_HEEL, -0.41, 1.68);
    put(f, TROPHY, SP_POINT_RACQUET_BUTT, -0.41, 1.68 - overhang_m);
}

static void serve_knees(filmed *f, double angle_deg) {
    filmed_moment(f, "trophy", TROPHY);
    const sp_point_name names[2][3] = {
        {SP_POINT_LEFT_HIP, SP_POINT_LEFT_KNEE, SP_POINT_LEFT_ANKLE},
        {SP_POINT_RIGHT_HIP, SP_POINT_RIGHT_KNEE, SP_POINT_RIGHT_ANKLE}};
    for (int leg = 0; leg < 2; leg++) {
        const double u = 0.19 - 0.26 * leg;
        put_at(f, TROPHY, names[leg][0], u, 0.53, 0.45, 90);
        put(f, TROPHY, names[leg][1], u, 0.53);
        put_at(f, TROPHY, names[leg][2], u, 0.53, 0.42, 90 + angle_deg);
    }
}

/* `toward` +1: along u, -1: against it. */
static void put_trunk(filmed *f, int frame, double lean_deg, double toward) {
    put(f, frame, SP_POINT_RIGHT_HIP, 0.11, 1.01);
    put(f, frame, SP_POINT_LEFT_HIP, -0.11, 1.01);
    const double u = toward * 0.52 * sin(lean_deg * RADIANS);
    put(f, frame, SP_POINT_RIGHT_SHOULDER, u + 0.17, 1.01 + 0.52 * cos(lean_deg * RADIANS));
    put(f, frame, SP_POINT_LEFT_SHOULDER, u - 0.17, 1.01 + 0.52 * cos(lean_deg * RADIANS));
}

static void serve_trophy_lean(filmed *f, double lean_deg) {
    filmed_moment(f, "trophy", TROPHY);
    put_trunk(f, TROPHY, lean_deg, 1);
}

static void serve_shoulder_tilt(filmed *f, double tilt_deg) {
    filmed_moment(f, "trophy", TROPHY);
    put(f, TROPHY, SP_POINT_LEFT_SHOULDER, -0.19, 1.52);
    put_at(f, TROPHY, SP_POINT_RIGHT_SHOULDER, -0.19, 1.52, 0.37, tilt_deg);
}

static void serve_trophy_elbow(filmed *f, double angle_deg) {
    filmed_moment(f, "trophy", TROPHY);
    put(f, TROPHY, SP_POINT_RIGHT_SHOULDER, -0.21, 1.47);
    put_at(f, TROPHY, SP_POINT_RIGHT_ELBOW, -0.21, 1.47, 0.31, 180 - angle_deg);
}

static void serve_tossing_arm(filmed *f, double angle_deg) {
    filmed_moment(f, "trophy", TROPHY);
    put(f, TROPHY, SP_POINT_LEFT_SHOULDER, 0.13, 1.55);
    put_at(f, TROPHY, SP_POINT_LEFT_HAND, 0.13, 1.55, 0.62, angle_deg);
}

/* --- toss ------------------------------------------------------------------------------------ */
static void put_toss(filmed *f, double u, double speed_m_per_s) {
    filmed_moment(f, "release", RELEASE);
    filmed_moment(f, "contact", CONTACT);
    for (int frame = RELEASE; frame <= CONTACT; frame += 4) {
        const double t = filmed_real_time(f, frame) - filmed_real_time(f, RELEASE);
        put(f, frame, SP_POINT_BALL, u, 1.93 + speed_m_per_s * t - G / 2 * t * t);
    }
}

static void serve_toss_height(filmed *f, double rise_m) { put_toss(f, 0.4, sqrt(2 * G * rise_m)); }

static void serve_toss_fall(filmed *f, double fall_m) {
    const double whole_s = filmed_real_time(f, CONTACT) - filmed_real_time(f, RELEASE);
    put_toss(f, 0.4, G * (whole_s - sqrt(2 * fall_m / G)));
}

static void put_front_toe(filmed *f) {
    filmed_moment(f, "trophy", TROPHY);
    put(f, TROPHY, SP_POINT_LEFT_TOE, 0.29, 0.02);
}

static void serve_toss_landing(filmed *f, double ahead_m) {
    put_front_toe(f);
    put_toss(f, 0.29 + ahead_m, 5.1);
}

static void serve_tempo(filmed *f, double drop_frame) {
    filmed_moment(f, "release", RELEASE);
    filmed_moment(f, "trophy", TROPHY);
    filmed_moment(f, "drop", (int)drop_frame);
    filmed_moment(f, "contact", CONTACT);
}

/* --- contact --------------------------------------------------------------------------------- */
static void serve_head(filmed *f, double travel_m) {
    filmed_moment(f, "contact", CONTACT);
    const int step = (int)lround(f->film.rate / 40);
    for (int k = -4; k <= 2; k++)
        put(f, CONTACT + k * step, SP_POINT_RIGHT_EAR, 0.33 + travel_m * (k + 4) / 6, 1.83);
}

static void serve_contact_ahead(filmed *f, double ahead_m) {
    put_front_toe(f);
    filmed_moment(f, "contact", CONTACT);
    put(f, CONTACT, SP_POINT_BALL, 0.29 + ahead_m, 2.79);
}

static void serve_contact_height(filmed *f, double statures) {
    put_front_toe(f);
    filmed_moment(f, "contact", CONTACT);
    put(f, CONTACT, SP_POINT_BALL, 0.61, 0.02 + 1.83 * statures);
}

static void serve_contact_lean(filmed *f, double lean_deg) {
    filmed_moment(f, "contact", CONTACT);
    put_trunk(f, CONTACT, lean_deg, f->film.view == SP_VIEW_SIDE ? 1 : -1);
}

static void serve_contact_arm(filmed *f, double angle_deg) {
    filmed_moment(f, "contact", CONTACT);
    put_trunk(f, CONTACT, 0, 1);
    put_at(f, CONTACT, SP_POINT_RIGHT_ELBOW, 0.17, 1.53, 0.31, angle_deg - 90);
}

static void serve_contact_elbow(filmed *f, double angle_deg) {
    filmed_moment(f, "contact", CONTACT);
    put(f, CONTACT, SP_POINT_RIGHT_SHOULDER, 0.31, 1.77);
    put_at(f, CONTACT, SP_POINT_RIGHT_ELBOW, 0.31, 1.77, 0.3, 83);
    const double u = 0.31 + 0.3 * cos(83 * RADIANS), w = 1.77 + 0.3 * sin(83 * RADIANS);
    put_at(f, CONTACT, SP_POINT_RIGHT_HAND, u, w, 0.32, 83 + 180 - angle_deg);
}

/* Along a straight line with 36 m/s until 50 ms before the touch, from there evenly to `share` of
 * that at the touch, half a frame after contact. */
static void serve_tip_speed(filmed *f, double share) {
    const double touch_s = filmed_real_time(f, CONTACT) + 0.5 / f->film.rate;
    filmed_moment(f, "contact", CONTACT);
    for (int frame = CONTACT - 14; frame <= CONTACT; frame++) {
        const double t = filmed_real_time(f, frame) - touch_s, after = fmax(0, t + 0.05);
        const double way = 36 * (t + (share - 1) / 0.05 * after * after / 2);
        put(f, frame, SP_POINT_RACQUET_TIP, 0.7 + 0.6 * way, 2.6 + 0.8 * way);
    }
}

static void serve_ball_speed(filmed *f, double multiple) {
    filmed_moment(f, "contact", CONTACT);
    for (int frame = CONTACT - 9; frame <= CONTACT; frame++) {
        const sp_point tip =
            filmed_swing(filmed_real_time(f, frame) - filmed_real_time(f, CONTACT));
        put(f, frame, SP_POINT_RACQUET_TIP, tip.x, tip.y);
    }
    for (int frame = CONTACT + 2; frame <= CONTACT + 5; frame++) {
        const double t = filmed_real_time(f, frame) - filmed_real_time(f, CONTACT);
        put(f, frame, SP_POINT_BALL, 0.66 + multiple * 41 * t, 2.81 - 3 * t);
    }
}

/* --- the table ------------------------------------------------------------------------------- */
enum { NONE = -1 };

typedef struct {
    const char *id;
    void (*serve)(filmed *f, double value);
    sp_view view;
    double met, not_met, within;
    int wrong_view;        /* NONE: every level camera sees it */
    const char *ask_from;  /* what is asked for instead */
    double not_met_either; /* of a range: beyond its other end; 0: none */
} row;

static const row ROWS[] = {
    {"hand_low_in_drop", serve_hand_low, SP_VIEW_SIDE, -0.27, 0.24, 0.004, NONE, NULL, 0},
    {"tip_low_in_drop", serve_tip_low, SP_VIEW_SIDE, -0.31, 0.71, 0.098, NONE, NULL, 0},
    {"racquet_along_body", serve_racquet_beside, SP_VIEW_BACK, 0.091, 0.87, 0.301, SP_VIEW_SIDE,
     "from behind", -0.71},
    {"grip_at_butt", serve_grip, SP_VIEW_SIDE, 0.011, 0.117, 0.0301, SP_VIEW_FRONT,
     "from the side or from behind", 0},
    {"head_still", serve_head, SP_VIEW_SIDE, 0.06, 0.83, 0.352, NONE, NULL, 0},
    {"contact_into_court", serve_contact_ahead, SP_VIEW_SIDE, 0.51, -0.47, 0.006, SP_VIEW_BACK,
     "from the side", 0},
    {"contact_height", serve_contact_height, SP_VIEW_SIDE, 1.74, 1.13, 1.46, SP_VIEW_BACK,
     "from the side", 0},
    {"lean_at_contact", serve_contact_lean, SP_VIEW_SIDE, 17.3, -14.2, 0.4, SP_VIEW_FRONT,
     "from the side or from behind", 0},
    {"arm_at_contact", serve_contact_arm, SP_VIEW_BACK, 109.3, 71.2, 94.1, SP_VIEW_SIDE,
     "from behind", 149.0},
    {"elbow_at_contact", serve_contact_elbow, SP_VIEW_SIDE, 161.7, 101.4, 134.2, SP_VIEW_OBLIQUE,
     "from the side or from behind or from the front", 0},
    {"knee_bend", serve_knees, SP_VIEW_SIDE, 117.2, 176.5, 164.8, SP_VIEW_BACK, "from the side", 0},
    {"trunk_in_trophy", serve_trophy_lean, SP_VIEW_SIDE, -14.6, 21.3, -0.4, SP_VIEW_BACK,
     "from the side", -47.1},
    {"shoulders_in_trophy", serve_shoulder_tilt, SP_VIEW_BACK, -29.4, 12.6, -10.3, SP_VIEW_SIDE,
     "from behind or from the front", 0},
    {"elbow_in_trophy", serve_trophy_elbow, SP_VIEW_SIDE, 2.2, -51.7, -19.8, SP_VIEW_OBLIQUE,
     "from the side or from behind or from the front", 52.9},
    {"tossing_arm_up", serve_tossing_arm, SP_VIEW_SIDE, 76.1, 7.4, 45.2, SP_VIEW_OBLIQUE,
     "from the side or from behind or from the front", 0},
    {"toss_height", serve_toss_height, SP_VIEW_SIDE, 1.33, 0.43, 1.01, NONE, NULL, 0},
    {"toss_fall", serve_toss_fall, SP_VIEW_SIDE, 0.44, 0.03, 0.205, NONE, NULL, 1.21},
    {"toss_landing", serve_toss_landing, SP_VIEW_SIDE, 0.57, -0.61, 0.008, SP_VIEW_BACK,
     "from the side", 0},
    {"tempo", serve_tempo, SP_VIEW_SIDE, 76, 54, 68, NONE, NULL, 0},
    {"fastest_at_contact", serve_tip_speed, SP_VIEW_SIDE, 1.31, 0.42, 0.88, SP_VIEW_BACK,
     "from the side", 0},
    {"ball_and_racquet", serve_ball_speed, SP_VIEW_SIDE, 1.07, 2.13, 1.33, SP_VIEW_BACK,
     "from the side", 0.41},
};
#define ROW_COUNT (sizeof ROWS / sizeof ROWS[0])

static filmed filmed_for(const row *r, sp_view view, double value, bool left) {
    filmed f = filmed_new((film){.view = view, .points_sd = 0.7, .left_handed = left});
    filmed_scale(&f);
    r->serve(&f, value);
    return f;
}

static void assert_status(const row *r, sp_view view, double value, bool left,
                          sp_check_status expected, const char *words) {
    filmed f = filmed_for(r, view, value, left);
    checked c = checked_serve(&f);
    const sp_finding *finding = checked_find(&c, r->id);
    if (finding->status != expected)
        fail_msg("%s at %g from %s: %s, expected %s: %s", r->id, value, sp_view_id(view),
                 sp_check_status_id(finding->status), sp_check_status_id(expected), finding->says);
    assert_holds(finding->says, words);
    checked_free(&c);
    filmed_free(&f);
}

static void a_serve_that_meets_a_check_is_good(void **state) {
    (void)state;
    for (size_t i = 0; i < ROW_COUNT; i++)
        for (int left = 0; left < 2; left++)
            assert_status(&ROWS[i], ROWS[i].view, ROWS[i].met, left, SP_CHECK_MET, "looked for: ");
}

static void a_serve_that_does_not_is_said_not_to(void **state) {
    (void)state;
    for (size_t i = 0; i < ROW_COUNT; i++)
        for (int left = 0; left < 2; left++) {
            const row *r = &ROWS[i];
            assert_status(r, r->view, r->not_met, left, SP_CHECK_NOT_MET, "looked for: ");
            if (r->not_met_either != 0)
                assert_status(r, r->view, r->not_met_either, left, SP_CHECK_NOT_MET, " to ");
        }
}

static void a_serve_within_error_says_that_the_interval_straddles_the_limit(void **state) {
    (void)state;
    for (size_t i = 0; i < ROW_COUNT; i++)
        for (int left = 0; left < 2; left++)
            assert_status(&ROWS[i], ROWS[i].view, ROWS[i].within, left, SP_CHECK_WITHIN_ERROR,
                          "The interval straddles the limit: too close to tell.");
}

static void the_wrong_view_says_which_to_ask_for(void **state) {
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < ROW_COUNT; i++) {
        if (ROWS[i].wrong_view == NONE) continue;
        assert_status(&ROWS[i], (sp_view)ROWS[i].wrong_view, ROWS[i].met, false,
                      SP_CHECK_NOT_FROM_THIS_VIEW, ROWS[i].ask_from);
        wrong++;
    }
    assert_true(wrong >= 15);
}

/* Heights and times survive any level camera: the same verdict from all four views. */
static void what_every_level_camera_sees_has_no_wrong_view(void **state) {
    (void)state;
    for (size_t i = 0; i < ROW_COUNT; i++) {
        if (ROWS[i].wrong_view != NONE) continue;
        for (int v = SP_VIEW_SIDE; v <= SP_VIEW_OBLIQUE; v++) {
            assert_status(&ROWS[i], (sp_view)v, ROWS[i].met, false, SP_CHECK_MET, "");
            assert_status(&ROWS[i], (sp_view)v, ROWS[i].not_met, false, SP_CHECK_NOT_MET, "");
        }
    }
}

static void every_built_in_check_is_in_the_table_or_is_by_eye(void **state) {
    (void)state;
    sp_checks *checks = sp_checks_new(NULL, NULL, NULL);
    assert_non_null(checks);
    size_t measured = 0;
    for (size_t i = 0; i < sp_checks_count(checks); i++) {
        const sp_check *check = sp_checks_at(checks, i);
        bool there = sp_check_is_by_eye(check);
        for (size_t k = 0; k < ROW_COUNT; k++)
            there = there || strcmp(ROWS[k].id, sp_check_get_id(check)) == 0;
        if (!there) fail_msg("%s is not tested", sp_check_get_id(check));
        if (!sp_check_is_by_eye(check)) measured++;
    }
    assert_int_equal(measured, ROW_COUNT);
    sp_checks_free(checks);
}

static void empty_reviews_miss_points_and_say_which(void **state) {
    (void)state;
    for (size_t i = 0; i < ROW_COUNT; i++) {
        filmed f = filmed_new((film){.view = ROWS[i].view});
        checked c = checked_serve(&f);
        const sp_finding *finding = checked_find(&c, ROWS[i].id);
        assert_int_equal(finding->status, SP_CHECK_POINTS_MISSING);
        assert_int_equal(finding->group, SP_FINDINGS_MISSING);
        assert_true(strlen(finding->says) > 20);
        assert_string_equal(finding->advice, "");
        checked_free(&c);
        filmed_free(&f);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_serve_that_meets_a_check_is_good),
        cmocka_unit_test(a_serve_that_does_not_is_said_not_to),
        cmocka_unit_test(a_serve_within_error_says_that_the_interval_straddles_the_limit),
        cmocka_unit_test(the_wrong_view_says_which_to_ask_for),
        cmocka_unit_test(what_every_level_camera_sees_has_no_wrong_view),
        cmocka_unit_test(every_built_in_check_is_in_the_table_or_is_by_eye),
        cmocka_unit_test(empty_reviews_miss_points_and_say_which),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
