/* Numbers of the readout against the scene that was filmed, and what must not change them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "filmed.h"
#include "serveplumb/angle.h"
#include "serveplumb/flight.h"

static const double DEGREES = 57.295779513082320876798;

static bool has_number(const sp_measure *m) {
    return m->status == SP_STATUS_OK || m->status == SP_STATUS_PROJECTED;
}

static const sp_measure *found(const sp_readout *readout, const char *id, const char *moment) {
    const sp_measure *m = sp_readout_find(readout, id, moment);
    if (m == NULL) print_error("no measure %s %s\n", id, moment);
    assert_non_null(m);
    return m;
}

static double value(const sp_readout *readout, const char *id, const char *moment) {
    const sp_measure *m = found(readout, id, moment);
    if (!has_number(m)) print_error("%s %s: %s\n", id, moment, m->note);
    assert_true(has_number(m));
    return m->value.value;
}

/* Included angle by the law of cosines. */
static double angle_of(double au, double aw, double bu, double bw, double cu, double cw) {
    const double a = hypot(cu - bu, cw - bw), c = hypot(au - bu, aw - bw),
                 b = hypot(au - cu, aw - cw);
    return acos((a * a + c * c - b * b) / (2 * a * c)) * DEGREES;
}

static void side_view_gives_what_was_filmed(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 50, 0);
    const double tight = 1e-9;
    assert_near(value(r, "hand_elbow_gap", "drop"), -0.05, tight);
    assert_near(value(r, "tip_height_at_drop", "drop"), 1.03 - 1.71, tight);
    assert_near(value(r, "tip_height_to_hips", "drop"), 1.03 - 1.065, tight);
    assert_near(value(r, "elbow_angle", "trophy"), angle_of(-.21, 1.43, -.49, 1.38, -.41, 1.71),
                tight);
    assert_near(value(r, "elbow_angle", "drop"), angle_of(-.04, 1.58, -.21, 1.71, -.37, 1.66),
                tight);
    assert_near(value(r, "elbow_angle", "contact"), angle_of(.31, 1.77, .38, 2.06, .47, 2.37),
                tight);
    assert_near(value(r, "upper_arm_to_horizontal", "trophy"), atan2(-.05, .28) * DEGREES, tight);
    assert_near(value(r, "upper_arm_to_horizontal", "contact"), atan2(.29, .07) * DEGREES, tight);
    assert_near(value(r, "upper_arm_elevation", "trophy"),
                angle_of(-.28, -.05, 0, 0, .06 - -.04, .96 - 1.49), tight);
    assert_near(value(r, "forearm_to_plumb", "drop"), 90 + atan2(.05, .16) * DEGREES, tight);
    assert_near(value(r, "racquet_to_plumb", "drop"), 90 + atan2(.67, .07) * DEGREES, tight);
    assert_near(value(r, "racquet_to_forearm", "drop"), angle_of(-.16, -.05, 0, 0, -.07, -.67),
                tight);
    assert_near(value(r, "trunk_lean", "trophy"), atan2(-.04 - .06, 1.49 - .96) * DEGREES, tight);
    assert_near(value(r, "trunk_lean", "contact"), atan2(.345 - .24, 1.63 - 1.145) * DEGREES,
                tight);
    assert_near(value(r, "knee_angle_front", "trophy"), angle_of(.19, .98, .34, .53, .11, .12),
                tight);
    assert_near(value(r, "knee_angle_rear", "trophy"), angle_of(-.07, .94, .02, .49, -.24, .13),
                tight);
    assert_near(value(r, "grip_overhang", "trophy"), hypot(.005, .035), tight);
    assert_near(value(r, "contact_height", "contact"), 2.81 - .02, tight);
    assert_near(value(r, "contact_height_ratio", "contact"), 2.79 / 1.83, tight);
    assert_near(value(r, "contact_ahead", "contact"), .66 - .29, tight);
    assert_near(value(r, "hand_elbow_gap_ratio", "drop"), -.05 / hypot(.08, .33), tight);
    sp_readout_free(r);
    filmed_free(&f);
}

static void back_view_gives_what_was_filmed(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_BACK});
    sp_readout *r = filmed_read(&f, 50, 0);
    /* + toward the off side, which is against u */
    assert_near(value(r, "trunk_lean", "trophy"), atan2(.04 + .06, 1.49 - .96) * DEGREES, 1e-9);
    /* + hitting side higher */
    assert_near(value(r, "shoulder_tilt", "trophy"), -atan2(.12, .34) * DEGREES, 1e-9);
    assert_near(value(r, "shoulder_tilt", "contact"), atan2(.28, .07) * DEGREES, 1e-9);
    assert_near(value(r, "hip_tilt", "trophy"), -atan2(.04, .26) * DEGREES, 1e-9);
    const sp_point edge = {-.12, .51}, tip = {-.51, -.04};
    assert_near(value(r, "racquet_beside_body", "drop"),
                (tip.x * edge.y - tip.y * edge.x) / hypot(edge.x, edge.y), 1e-9);
    assert_near(value(r, "racquet_beside_body_angle", "drop"),
                angle_of(-.07, -.67, 0, 0, .16 - .115, 1.065 - 1.595), 1e-9);
    sp_readout_free(r);
    filmed_free(&f);
}

static void racquet_out_to_the_hitting_side_is_positive(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_BACK});
    filmed_moment(&f, "drop", 10);
    filmed_put(&f, 10, SP_POINT_RIGHT_HIP, 0.2, 1.0);
    filmed_put(&f, 10, SP_POINT_RIGHT_SHOULDER, 0.2, 1.5);
    filmed_put(&f, 10, SP_POINT_RACQUET_TIP, 0.51, 1.2);
    filmed_scale(&f);
    sp_readout *r = filmed_read(&f, 50, 0);
    assert_near(value(r, "racquet_beside_body", "drop"), 0.31, 1e-9);
    sp_readout_free(r);
    filmed_free(&f);
}

static void tosses_are_had_from_the_parabola(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 50, 0);
    const double whole = (CONTACT - RELEASE) / 120.0;
    const double speed = 0.88 / whole + 9.80665 / 2 * whole;
    const double rise = speed * speed / (2 * 9.80665);
    assert_near(value(r, "toss_apex", "release"), rise, 1e-9);
    /* The touch lies half a frame after the last frame before it. */
    const double touch = whole + 0.5 / 120;
    const double height = speed * touch - 9.80665 / 2 * touch * touch;
    assert_near(value(r, "toss_drop_to_contact", "contact"), rise - height, 1e-9);
    sp_readout_free(r);
    filmed_free(&f);
}

/* Let fall from the hand at 1.93 m with `speed` up, 2 cm above the level of the toe's point. Drag
 * (0.0185 /m) takes 0.0185 x fall / 2 of the 0.17 m/s ahead for as long as it falls. */
static void toss_lands_where_it_would_fall(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 50, 0);
    const double whole = (CONTACT - RELEASE) / 120.0;
    const double speed = 0.88 / whole + 9.80665 / 2 * whole;
    const double flight_s = (speed + sqrt(speed * speed + 2 * 9.80665 * (1.93 - 0.02))) / 9.80665;
    const double fall = 1.93 - 0.02 + speed * speed / (2 * 9.80665);
    const double dragged = 0.17 * 0.0185 * fall / 2 * sqrt(2 * fall / 9.80665);
    assert_near(value(r, "toss_landing_ahead", "release"), 0.55 + 0.17 * flight_s - dragged - 0.29,
                2e-3);
    sp_readout_free(r);
    filmed_free(&f);
}

static void tossing_arm_is_raised_by_its_angle(void **state) {
    (void)state;
    for (int back = 0; back < 2; back++) {
        filmed f = filmed_serve((film){.view = back ? SP_VIEW_BACK : SP_VIEW_SIDE});
        sp_readout *r = filmed_read(&f, 50, 0);
        assert_near(value(r, "tossing_arm_to_horizontal", "trophy"), atan2(.54, .24) * DEGREES,
                    1e-9);
        sp_readout_free(r);
        filmed_free(&f);
    }
}

static double width_of(const sp_readout *r, const char *id) {
    const sp_interval v = found(r, id, "contact")->value;
    return (v.high - v.low) / v.value;
}

/* The scale's 5 % and the time of touch are in both speeds alike: the quotient is surer than that
 * of two numbers which know nothing of each other. How far each goes into or out of the picture is
 * its own. */
static void quotients_are_of_the_two_and_free_of_the_scale(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 4000, 0);
    assert_digits(value(r, "ball_to_tip_speed", "contact"),
                  value(r, "ball_speed_off", "contact") / value(r, "racquet_head_speed", "contact"),
                  0.02);
    assert_digits(value(r, "tip_speed_kept", "contact"), 1.0, 0.05);
    assert_true(width_of(r, "racquet_head_speed") > 0.2);
    assert_true(width_of(r, "ball_to_tip_speed") <
                0.9 * hypot(width_of(r, "racquet_head_speed"), width_of(r, "ball_speed_off")));
    assert_near(value(r, "upswing_to_drop_time", ""), 17.5 / 24, 0.01);
    sp_readout_free(r);
    filmed_free(&f);
}

static void quotient_of_what_cannot_be_had_says_why(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 60});
    sp_readout *r = filmed_read(&f, 50, 0);
    assert_int_equal(found(r, "ball_to_tip_speed", "contact")->status, SP_STATUS_TOO_COARSE);
    assert_non_null(strstr(found(r, "ball_to_tip_speed", "contact")->note, "60 real frames/s"));
    filmed_moment(&f, "trophy", -1);
    sp_readout *less = filmed_read(&f, 50, 0);
    assert_int_equal(found(less, "upswing_to_drop_time", "")->status, SP_STATUS_NEEDS_MOMENT);
    sp_readout_free(r);
    sp_readout_free(less);
    filmed_free(&f);
}

static void tempo_is_real_time_and_spreads_over_the_frames(void **state) {
    (void)state;
    filmed f =
        filmed_serve((film){.view = SP_VIEW_BACK, .rate = 30, .slowdown = 4, .row_time_s = 1e-6});
    sp_readout *r = filmed_read(&f, 20000, 0);
    /* the gap was open up to a frame before frame 12, and opened 1 to 39 ms after the ball left; it
     * is met after frame 88 */
    assert_near(value(r, "release_to_trophy", ""), 35.5 / 120 + 0.02, 1e-6);
    assert_near(value(r, "trophy_to_drop", ""), 24.015 / 120.0, 1e-6);
    assert_near(value(r, "drop_to_contact", ""), 17.485 / 120, 1e-6);
    /* a difference of two flat spreads of 1 and 1.03 frames ends at 1.015; of its sloping end
     * x^2 / (2 x 1.03) is cut off, 2.5 %; the rolling shutter is said to take a millionth */
    const sp_measure *m = found(r, "trophy_to_drop", "");
    const double half = (1.015 - sqrt(0.025 * 2 * 1.03)) / 120;
    assert_near(m->value.high - m->value.value, half, 2e-4);
    assert_near(m->value.value - m->value.low, half, 2e-4);
    sp_readout_free(r);
    filmed_free(&f);
}

static void speeds_of_evenly_gaining_motion_are_exact(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 240});
    sp_readout *r = filmed_read(&f, 50, 0);
    /* the hand's to the touch, half a frame on, where it is believed to slow down; the elbow's in
     * the middle of the ten frames on which it is marked */
    assert_near(value(r, "hand_speed", "contact"), hypot(6.3 + 10 * 0.5 / 240, 2.7), 0.1);
    assert_near(value(r, "elbow_speed", "contact"), hypot(2.1 - 6 * 4 / 240.0, 1.4), 1e-6);
    assert_near(value(r, "head_shift", "contact"), hypot(.9, .6) * 0.15, 1e-6);
    sp_readout_free(r);
    filmed_free(&f);
}

/* Steady 47 m/s along the ground, seen 2..5 frames after contact, touch half a frame after it;
 * drag by its coefficient in free flight is put back on the way. */
static void ball_leaves_faster_than_it_is_seen_to_fly(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 50, 0);
    const double speed = hypot(47, 4), k = sp_flight_drag_per_m(0.507);
    assert_near(value(r, "ball_speed_off", "contact"), speed * exp(k * speed * 3 / 120), 1e-6);
    sp_readout_free(r);
    filmed_free(&f);
}

static void rolling_shutter_gives_each_row_its_time(void **state) {
    (void)state;
    filmed f = filmed_new((film){.view = SP_VIEW_SIDE, .row_time_s = 0.0061});
    filmed_moment(&f, "contact", CONTACT);
    filmed_scale(&f);
    /* straight up at 9 m/s: each mark lies where the point was when its row was read */
    for (int frame = CONTACT - 6; frame <= CONTACT; frame++) {
        double t = f.seconds[frame], w = 0;
        for (int i = 0; i < 60; i++) {
            w = 2.2 + 9 * (t - f.seconds[CONTACT]);
            t = f.seconds[frame] + filmed_pixel(&f, 0.3, w).y / 1920 * 0.0061;
        }
        filmed_put(&f, frame, SP_POINT_RIGHT_ELBOW, 0.3, w);
    }
    sp_readout *r = filmed_read(&f, 50, 0);
    assert_near(value(r, "elbow_speed", "contact"), 9, 1e-6);
    sp_readout_free(r);
    filmed_free(&f);
}

/* Drop and touch are told by a low row and a high one: who does not know the read-out time knows
 * the time between them less well. Who does, takes the rows' share off. */
static void unknown_read_out_widens_the_time_between_a_low_row_and_a_high_one(void **state) {
    (void)state;
    filmed unknown = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 120});
    filmed none = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 120, .row_time_s = 1e-6});
    filmed slow = filmed_serve((film){.view = SP_VIEW_SIDE, .rate = 120, .row_time_s = 0.0071});
    sp_readout *u = filmed_read(&unknown, 20000, 0), *n = filmed_read(&none, 20000, 0);
    sp_readout *s = filmed_read(&slow, 4000, 0);
    const sp_interval of_u = found(u, "drop_to_contact", "")->value;
    const sp_interval of_n = found(n, "drop_to_contact", "")->value;
    /* rectangular over 185 / 1000 of a frame beside two whole ones: 1.7 % more of variance */
    assert_true(of_u.high - of_u.low > 1.004 * (of_n.high - of_n.low));
    /* the tip at the drop, 1.03 m high, is 1.78 m below the ball: 356 of 1920 rows */
    assert_near(value(s, "drop_to_contact", ""), of_n.value - 356 / 1920.0 * 0.0071, 1e-6);
    sp_readout_free(u);
    sp_readout_free(n);
    sp_readout_free(s);
    filmed_free(&unknown);
    filmed_free(&none);
    filmed_free(&slow);
}

/* --- what must not change a number ----------------------------------------------------------- */

typedef struct {
    double values, ends; /* tolerances relative to the size of the number, of its interval */
} tolerance;

static void assert_same(film one, film other, tolerance within) {
    filmed a = filmed_serve(one), b = filmed_serve(other);
    sp_readout *ra = filmed_read(&a, 400, 0), *rb = filmed_read(&b, 400, 0);
    for (size_t i = 0; i < sp_readout_count(ra); i++) {
        const sp_measure *ma = sp_readout_at(ra, i), *mb = sp_readout_at(rb, i);
        assert_int_equal(ma->status, mb->status);
        assert_int_equal(ma->frame, mb->frame);
        if (!has_number(ma)) continue;
        const double width = ma->value.high - ma->value.low;
        const double size = fmax(width, fabs(ma->value.value));
        assert_near(mb->value.value, ma->value.value, within.values * size);
        assert_near(mb->value.low, ma->value.low, within.ends * width);
        assert_near(mb->value.high, ma->value.high, within.ends * width);
    }
    sp_readout_free(ra);
    sp_readout_free(rb);
    filmed_free(&a);
    filmed_free(&b);
}

static const sp_view VIEWS[] = {SP_VIEW_SIDE, SP_VIEW_BACK, SP_VIEW_FRONT, SP_VIEW_OBLIQUE};

static void left_hander_in_the_mirror_has_the_same_numbers(void **state) {
    (void)state;
    for (size_t i = 0; i < 4; i++)
        assert_same((film){.view = VIEWS[i], .tilt_deg = 2.3},
                    (film){.view = VIEWS[i], .tilt_deg = 2.3, .left_handed = true},
                    (tolerance){1e-9, 1e-8});
}

static void shift_of_the_picture_changes_no_number(void **state) {
    (void)state;
    for (size_t i = 0; i < 4; i++)
        assert_same((film){.view = VIEWS[i]},
                    (film){.view = VIEWS[i], .shift_x = -23.25, .shift_y = 18.5},
                    (tolerance){1e-9, 0.12}); /* depth counts from the picture's middle */
}

static void camera_tilt_that_the_plumb_knows_changes_no_number(void **state) {
    (void)state;
    for (size_t i = 0; i < 4; i++)
        assert_same((film){.view = VIEWS[i]}, (film){.view = VIEWS[i], .tilt_deg = -7.75},
                    (tolerance){1e-9, 0.25}); /* the same noise falls on other axes */
}

static void larger_picture_with_as_much_larger_taps_changes_no_number(void **state) {
    (void)state;
    for (size_t i = 0; i < 4; i++)
        assert_same((film){.view = VIEWS[i], .m_per_px = 0.005, .points_sd = 1.5},
                    (film){.view = VIEWS[i], .m_per_px = 0.0048, .points_sd = 1.5625},
                    (tolerance){1e-9, 0.12}); /* depth counts from the picture's middle */
}

static void slowdown_known_changes_no_number(void **state) {
    (void)state;
    assert_same((film){.view = SP_VIEW_SIDE, .rate = 240},
                (film){.view = SP_VIEW_SIDE, .rate = 30, .slowdown = 8}, (tolerance){1e-9, 1e-8});
}

/* From the front the hitting side of a right-hander is on the left of the picture. */
static void front_view_mirrors_tilts_of_the_back_view(void **state) {
    (void)state;
    filmed back = filmed_serve((film){.view = SP_VIEW_BACK});
    filmed front = filmed_serve((film){.view = SP_VIEW_FRONT});
    sp_readout *rb = filmed_read(&back, 50, 0), *rf = filmed_read(&front, 50, 0);
    assert_near(value(rb, "shoulder_tilt", "contact"), value(rf, "shoulder_tilt", "contact"), 1e-9);
    sp_readout_free(rb);
    sp_readout_free(rf);
    filmed_free(&back);
    filmed_free(&front);
}

static void frames_after_contact_change_no_speed_before_it(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *before = filmed_read(&f, 300, 0);
    for (int frame = CONTACT + 1; frame < CONTACT + 9; frame++) {
        filmed_put(&f, frame, SP_POINT_RACQUET_TIP, 0.9 - 0.01 * frame, 1.4);
        filmed_put(&f, frame, SP_POINT_RIGHT_HAND, 0.9, 1.4 + 0.005 * frame);
        filmed_put(&f, frame, SP_POINT_RIGHT_ELBOW, -0.9, 1.1);
    }
    sp_readout *after = filmed_read(&f, 300, 0);
    const char *const ids[] = {"racquet_head_speed", "racquet_head_speed_peak", "hand_speed",
                               "elbow_speed"};
    for (size_t i = 0; i < 4; i++) {
        value(before, ids[i], "contact");
        assert_memory_equal(&found(before, ids[i], "contact")->value,
                            &found(after, ids[i], "contact")->value, sizeof(sp_interval));
    }
    sp_readout_free(before);
    sp_readout_free(after);
    filmed_free(&f);
}

static void peak_is_never_below_the_speed_at_contact(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 300, 0);
    assert_true(value(r, "racquet_head_speed_peak", "contact") >=
                value(r, "racquet_head_speed", "contact"));
    sp_readout_free(r);
    filmed_free(&f);
}

/* Two taps of 1.5 px and 5 mm/px are 1.5 x 1.414 x 5 mm; a tilt of 1 degree over 0.16 m is 2.8 mm;
 * the scale's 5 % of 5 cm 2.5 mm. The hand is 0.1 m nearer than the plane and the elbow 0.2 m; the
 * hand scatters by 0.075 m against the elbow. A point is moved by that share of its distance from
 * the camera's height, about 0.25 +- 0.43 m above the picture's middle, which is as high as the
 * two. By the lens the camera is 1.6 x 1080 px of 5 mm away, 8.64 m, by the view 9 m: 8.82 m, good
 * to 22
 * %, which makes the mean square of the inverse larger by exp(2 x 0.048) (law of propagation). */
static void interval_of_the_gap_is_that_of_the_law_of_propagation(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 40000, 0);
    const sp_measure *gap = found(r, "hand_elbow_gap", "drop");
    const double u =
        sqrt(pow(1.5 * sqrt(2) * 0.005, 2) + pow(0.16 / DEGREES, 2) + pow(0.05 * 0.05, 2) +
             exp(2 * 0.048) * (pow(0.075 / 8.82, 2) * (pow(0.25, 2) + pow(0.43, 2)) +
                               pow(0.1 / 8.82, 2) * pow(0.43, 2)));
    /* products of two normal numbers have longer tails than one: the middle 95 % is narrower */
    assert_digits(gap->value.high - gap->value.low, 2 * 1.96 * u, 0.05);
    sp_readout_free(r);
    filmed_free(&f);
}

/* Heights at the camera's own height do not depend on how far a point is. */
static void gap_is_surest_from_a_camera_at_its_height(void **state) {
    (void)state;
    filmed high = filmed_serve((film){.view = SP_VIEW_BACK, .shift_y = 497});
    filmed level = filmed_serve((film){.view = SP_VIEW_BACK, .shift_y = 7});
    sp_readout *rh = filmed_read(&high, 4000, 0), *rl = filmed_read(&level, 4000, 0);
    const sp_interval a = found(rh, "hand_elbow_gap", "drop")->value;
    const sp_interval b = found(rl, "hand_elbow_gap", "drop")->value;
    assert_true(b.high - b.low < 0.7 * (a.high - a.low));
    sp_readout_free(rh);
    sp_readout_free(rl);
    filmed_free(&high);
    filmed_free(&level);
}

static void scale_interval_holds_depth_taps_and_court_tolerance(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *r = filmed_read(&f, 40000, 0);
    const sp_scale_reading scale = sp_readout_scale(r);
    assert_string_equal(scale.id, "baseline");
    assert_digits(scale.m_per_px.value, 0.005, 1e-12);
    /* A camera of +0.2 +- 0.45 m above the middle's height, 8.64 m away, sees the line, 1.75 m
     * under the middle, larger by height x 1.75 / 8.64^2; the distance is good to a fifth: mean
     * square of the inverse square exp(8 x 0.04), its mean exp(2 x 0.04). */
    const double far = 1.75 / (8.64 * 8.64);
    const double pitch = sqrt(far * far * (0.2 * 0.2 + 0.45 * 0.45) * exp(8 * 0.04) -
                              pow(far * 0.2 * exp(2 * 0.04), 2));
    const double relative =
        sqrt(pow(0.05, 2) + pow(pitch, 2) + pow(1.5 * sqrt(2) * 0.005 / 4.1148, 2) +
             pow(0.005 / sqrt(3) / 4.1148, 2));
    assert_digits(scale.m_per_px.high - scale.m_per_px.low, 0.005 * 2 * 1.96 * relative, 0.02);
    sp_readout_free(r);
    filmed_free(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(side_view_gives_what_was_filmed),
        cmocka_unit_test(back_view_gives_what_was_filmed),
        cmocka_unit_test(racquet_out_to_the_hitting_side_is_positive),
        cmocka_unit_test(tosses_are_had_from_the_parabola),
        cmocka_unit_test(toss_lands_where_it_would_fall),
        cmocka_unit_test(tossing_arm_is_raised_by_its_angle),
        cmocka_unit_test(quotients_are_of_the_two_and_free_of_the_scale),
        cmocka_unit_test(quotient_of_what_cannot_be_had_says_why),
        cmocka_unit_test(tempo_is_real_time_and_spreads_over_the_frames),
        cmocka_unit_test(unknown_read_out_widens_the_time_between_a_low_row_and_a_high_one),
        cmocka_unit_test(speeds_of_evenly_gaining_motion_are_exact),
        cmocka_unit_test(ball_leaves_faster_than_it_is_seen_to_fly),
        cmocka_unit_test(rolling_shutter_gives_each_row_its_time),
        cmocka_unit_test(left_hander_in_the_mirror_has_the_same_numbers),
        cmocka_unit_test(shift_of_the_picture_changes_no_number),
        cmocka_unit_test(camera_tilt_that_the_plumb_knows_changes_no_number),
        cmocka_unit_test(larger_picture_with_as_much_larger_taps_changes_no_number),
        cmocka_unit_test(slowdown_known_changes_no_number),
        cmocka_unit_test(front_view_mirrors_tilts_of_the_back_view),
        cmocka_unit_test(frames_after_contact_change_no_speed_before_it),
        cmocka_unit_test(peak_is_never_below_the_speed_at_contact),
        cmocka_unit_test(interval_of_the_gap_is_that_of_the_law_of_propagation),
        cmocka_unit_test(gap_is_surest_from_a_camera_at_its_height),
        cmocka_unit_test(scale_interval_holds_depth_taps_and_court_tolerance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
