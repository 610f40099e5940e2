/* Carrying on pictures made in the test: a textured disc on a textured ground, whose truth is known
 * exactly. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "carry/smoother.h"
#include "near.h"
#include "serveplumb/carry.h"

enum { WIDTH = 211, HEIGHT = 157, FRAMES = 31 };

typedef struct {
    double seconds[FRAMES];
    int hidden_from, hidden_to; /* frames on which a bar covers the disc */
    int asked;                  /* how many frames were fetched */
    int fail_at;                /* frame that cannot be read; -1: none */
    double radius;
    bool lone;    /* a plain bright disc, no texture */
    bool leaps;   /* far from frame to frame, and back again between the taps */
    int repeated; /* every so many frames the one before is shown again; 0: none */
} scene;

/* Uneven on purpose: it speeds up and bends. */
static sp_point disc_at(int n) {
    return (sp_point){37.3 + 3.1 * n + 0.021 * n * n, 91.7 - 2.3 * n + 0.062 * n * n};
}

/* It leaves the way that taps on frames 3 and 9 let expect. */
static sp_point leap_at(int n) {
    return (sp_point){61.3 + 9.7 * n, 78.7 + 41.3 * sin((n - 3) * M_PI / 6)};
}

static double ground(double x, double y) {
    return 96 + 31 * sin(x / 5.3) * cos(y / 7.1) + 17 * sin((x + 2 * y) / 11.7);
}

static double skin(double x, double y) { return 168 + 37 * sin(x / 2.7 + 0.4) * cos(y / 3.3); }

static double value(const scene *s, int n, double x, double y) {
    const sp_point at = s->leaps ? leap_at(n) : disc_at(n);
    const double far = hypot(x - at.x, y - at.y);
    const double in = fmin(fmax(s->radius + 0.5 - far, 0), 1);
    const double disc = s->lone ? 230 : skin(x - at.x, y - at.y);
    double v = in * disc + (1 - in) * ground(x, y);
    const bool hidden = n >= s->hidden_from && n <= s->hidden_to;
    if (hidden && fabs(x - 84) < 29) v = 41 + 9 * sin(y / 3.7) + 7 * cos(x / 2.9);
    return v;
}

static bool luma(void *context, int n, uint8_t *pixels, sp_error *error) {
    scene *s = context;
    s->asked++;
    if (s->repeated > 0 && n % s->repeated == 0 && n > 0) n--;
    if (n == s->fail_at) return sp_fail(error, SP_ERROR_DAMAGED, "frame %d cannot be decoded", n);
    unsigned noise = 77u * (unsigned)n + 5;
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            noise = noise * 1664525u + 1013904223u;
            const double grain = (double)(noise >> 24) / 64 - 2;
            *pixels++ = (uint8_t)lround(fmin(fmax(value(s, n, x + 0.5, y + 0.5) + grain, 0), 255));
        }
    return true;
}

static sp_carry_clip clip_of(scene *s) {
    for (int n = 0; n < FRAMES; n++) s->seconds[n] = n / 59.94;
    return (sp_carry_clip){WIDTH, HEIGHT, FRAMES, s->seconds, luma, s};
}

static scene usual(void) {
    return (scene){.hidden_from = -1, .hidden_to = -2, .fail_at = -1, .radius = 13};
}

static double error_at(const sp_carried *c, int n) { return sp_point_distance(c->at, disc_at(n)); }

static void a_point_in_plain_view_is_carried_to_a_third_of_a_pixel(void **state) {
    (void)state;
    scene s = usual();
    const sp_carry_clip clip = clip_of(&s);
    const sp_carry_tap taps[] = {{3, disc_at(3), 0.05}, {24, disc_at(24), 0.05}};
    const sp_carry_job job = {.taps = taps, .tap_count = 2, .from = 3, .to = 24, .impact = -1};
    sp_carried carried[22];
    assert_true(sp_carry_point(&clip, &job, carried, NULL));
    for (int n = 3; n <= 24; n++) {
        assert_int_equal(carried[n - 3].by,
                         n == 3 || n == 24 ? SP_CARRIED_TAPPED : SP_CARRIED_SEEN);
        assert_true(error_at(&carried[n - 3], n) < 0.35);
    }
    assert_true(s.asked <= 4 * FRAMES);
}

static void a_hidden_point_is_bridged_and_its_deviation_says_so(void **state) {
    (void)state;
    scene s = usual();
    s.hidden_from = 11;
    s.hidden_to = 16;
    const sp_carry_clip clip = clip_of(&s);
    const sp_carry_tap taps[] = {{3, disc_at(3), 0.5}, {24, disc_at(24), 0.5}};
    const sp_carry_job job = {.taps = taps, .tap_count = 2, .from = 3, .to = 24, .impact = -1};
    sp_carried carried[22];
    assert_true(sp_carry_point(&clip, &job, carried, NULL));
    int bridged = 0;
    for (int n = s.hidden_from; n <= s.hidden_to; n++) {
        const sp_carried *c = &carried[n - 3];
        bridged += c->by == SP_CARRIED_BRIDGED;
        assert_true(c->sd_px > 1.5 * carried[2].sd_px);
        assert_true(error_at(c, n) < 3 * c->sd_px);
    }
    assert_true(bridged >= 3);
}

static void beyond_the_last_tap_doubt_grows(void **state) {
    (void)state;
    scene s = usual();
    const sp_carry_clip clip = clip_of(&s);
    const sp_carry_tap taps[] = {{9, disc_at(9), 0.4}};
    const sp_carry_job job = {.taps = taps, .tap_count = 1, .from = 3, .to = 17, .impact = -1};
    sp_carried carried[15];
    assert_true(sp_carry_point(&clip, &job, carried, NULL));
    assert_true(carried[8].sd_px > carried[6].sd_px * 0.9);
    assert_true(carried[14].sd_px > carried[8].sd_px);
    assert_true(carried[0].sd_px > carried[4].sd_px);
    for (int n = 5; n <= 13; n++) assert_true(error_at(&carried[n - 3], n) < 1.5);
}

static void a_ball_is_found_between_two_taps(void **state) {
    (void)state;
    scene s = usual();
    s.radius = 4;
    s.lone = true;
    const sp_carry_clip clip = clip_of(&s);
    const sp_carry_tap taps[] = {
        {3, disc_at(3), 0.7}, {14, disc_at(14), 0.7}, {26, disc_at(26), 0.7}};
    const sp_carry_job job = {
        .taps = taps, .tap_count = 3, .from = 3, .to = 26, .ball = true, .impact = -1};
    sp_carried carried[24];
    assert_true(sp_carry_point(&clip, &job, carried, NULL));
    int seen = 0;
    for (int n = 3; n <= 26; n++) {
        assert_true(error_at(&carried[n - 3], n) < 1.2);
        seen += carried[n - 3].by == SP_CARRIED_SEEN;
    }
    assert_true(seen >= 18);
}

static void a_point_that_leaps_off_the_expected_way_is_found(void **state) {
    (void)state;
    scene s = usual();
    s.leaps = true;
    sp_carry_clip clip = clip_of(&s);
    for (int n = 0; n < FRAMES; n++) s.seconds[n] = n / 29.97;
    clip.frames = 12;
    const sp_carry_tap taps[] = {{3, leap_at(3), 0.5}, {9, leap_at(9), 0.5}};
    const sp_carry_job job = {
        .taps = taps, .tap_count = 2, .from = 3, .to = 9, .swift = true, .impact = -1};
    sp_carried carried[7];
    assert_true(sp_carry_point(&clip, &job, carried, NULL));
    for (int n = 4; n < 9; n++) {
        const double error = sp_point_distance(carried[n - 3].at, leap_at(n));
        assert_int_equal(carried[n - 3].by, SP_CARRIED_SEEN);
        assert_true(error < 3.0);
        assert_true(error < 3 * carried[n - 3].sd_px);
    }
}

static void a_frame_that_repeats_the_one_before_holds_the_same_place(void **state) {
    (void)state;
    scene s = usual();
    s.repeated = 7;
    const sp_carry_clip clip = clip_of(&s);
    const sp_carry_tap taps[] = {{3, disc_at(3), 0.2}, {24, disc_at(24), 0.2}};
    const sp_carry_job job = {.taps = taps, .tap_count = 2, .from = 3, .to = 24, .impact = -1};
    sp_carried carried[22];
    assert_true(sp_carry_point(&clip, &job, carried, NULL));
    for (int n = 4; n < 24; n++) {
        const sp_point shown = disc_at(n % 7 == 0 ? n - 1 : n);
        assert_true(sp_point_distance(carried[n - 3].at, shown) < 0.5);
    }
}

static bool stop_at_half(void *whom, double share) {
    int *calls = whom;
    (*calls)++;
    return share < 0.5;
}

static void giving_up_and_damage_end_it_with_their_reason(void **state) {
    (void)state;
    scene s = usual();
    const sp_carry_clip clip = clip_of(&s);
    const sp_carry_tap taps[] = {{3, disc_at(3), 0.5}, {24, disc_at(24), 0.5}};
    int calls = 0;
    sp_carry_job job = {.taps = taps,
                        .tap_count = 2,
                        .from = 3,
                        .to = 24,
                        .impact = -1,
                        .progress = stop_at_half,
                        .whom = &calls};
    sp_carried carried[22];
    sp_error error = {0};
    assert_false(sp_carry_point(&clip, &job, carried, &error));
    assert_int_equal(error.code, SP_ERROR_CANCELLED);
    assert_true(calls > 5);
    job.progress = NULL;
    s.fail_at = 13;
    assert_false(sp_carry_point(&clip, &job, carried, &error));
    assert_int_equal(error.code, SP_ERROR_DAMAGED);
}

static void taps_out_of_order_are_refused(void **state) {
    (void)state;
    scene s = usual();
    const sp_carry_clip clip = clip_of(&s);
    const sp_carry_tap taps[] = {{9, disc_at(9), 0.5}, {9, disc_at(9), 0.5}};
    sp_carry_job job = {.taps = taps, .tap_count = 2, .from = 3, .to = 17, .impact = -1};
    sp_carried carried[40];
    sp_error error = {0};
    assert_false(sp_carry_point(&clip, &job, carried, &error));
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    job.tap_count = 1;
    job.to = FRAMES;
    assert_false(sp_carry_point(&clip, &job, carried, &error));
    assert_int_equal(error.code, SP_ERROR_ARGUMENT);
}

/* --- the smoother ---------------------------------------------------------------------------- */

/* A parabola through its taps: what lies between is bridged on it, and surest beside the taps. */
static void a_parabola_is_bridged_by_its_taps(void **state) {
    (void)state;
    enum { COUNT = 31 };
    carry_evidence e[COUNT] = {0};
    carry_smoothed smooth[COUNT];
    for (int i = 0; i < COUNT; i++) {
        const double t = i / 117.0;
        e[i].seconds = t;
        if (i % 6 != 0) continue;
        e[i].tap = true;
        e[i].second =
            (carry_place){true, {311 + 240 * t - 1900 * t * t, 97 - 130 * t}, {0.01, 0, 0.01}};
        e[i].second_noise = 0.04;
    }
    const carry_wander wander = {8, 0};
    assert_true(carry_smooth(e, COUNT, wander, smooth, NULL));
    for (int i = 0; i < COUNT; i++) {
        const double t = e[i].seconds;
        assert_near(smooth[i].at.x, 311 + 240 * t - 1900 * t * t, 0.2);
        assert_near(smooth[i].at.y, 97 - 130 * t, 0.2);
    }
    assert_true(smooth[27].cov[0] > smooth[24].cov[0]);
}

/* Twenty sightings that share a tap's error leave the tap's deviation; twenty that do not, a
 * fraction of it. */
static void a_shared_error_is_not_averaged_away(void **state) {
    (void)state;
    enum { COUNT = 21 };
    double last_sd[2];
    for (int shared = 0; shared < 2; shared++) {
        carry_evidence e[COUNT] = {0};
        carry_smoothed smooth[COUNT];
        for (int i = 0; i < COUNT; i++) {
            e[i].seconds = i / 60.0;
            e[i].first = (carry_place){true, {50, 60}, {0.04, 0, 0.04}};
            if (!shared) e[i].first.cov[0] = e[i].first.cov[2] = 1.04;
        }
        e[0].first_noise = shared ? 1.0 : 0.0;
        const carry_wander still = {-3, 0};
        assert_true(carry_smooth(e, COUNT, still, smooth, NULL));
        last_sd[shared] = sqrt(smooth[COUNT / 2].cov[0]);
    }
    assert_near(last_sd[1], 1.0, 0.06);
    assert_true(last_sd[0] < 0.5);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_point_in_plain_view_is_carried_to_a_third_of_a_pixel),
        cmocka_unit_test(a_hidden_point_is_bridged_and_its_deviation_says_so),
        cmocka_unit_test(beyond_the_last_tap_doubt_grows),
        cmocka_unit_test(a_ball_is_found_between_two_taps),
        cmocka_unit_test(a_point_that_leaps_off_the_expected_way_is_found),
        cmocka_unit_test(a_frame_that_repeats_the_one_before_holds_the_same_place),
        cmocka_unit_test(giving_up_and_damage_end_it_with_their_reason),
        cmocka_unit_test(taps_out_of_order_are_refused),
        cmocka_unit_test(a_parabola_is_bridged_by_its_taps),
        cmocka_unit_test(a_shared_error_is_not_averaged_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
