/* Do the intervals hold the truth as often as they say? Taps, scale, depth and the moment of touch
 * are drawn by a generator of the test's own, and the readout is asked each time. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "filmed.h"

/* Park and Miller (1988) minimal standard, Box and Muller (1958): not the library's generator. */
typedef struct {
    uint64_t state;
} dice;

static double flat(dice *d) {
    d->state = d->state * 48271 % 2147483647;
    return (double)d->state / 2147483647.0;
}

static double bell(dice *d) {
    const double radius = sqrt(-2 * log(flat(d)));
    return radius * cos(6.283185307179586 * flat(d));
}

typedef sp_point motion_at(double t);

/* Arm and racquet as two links: the arm slows down, the racquet still gains. */
static sp_point two_links(double t) {
    const double arm = 1.309 + 14 * t - 60 * t * t;
    const double racquet = 1.4835 + 40 * t + 350 * t * t + 800 * t * t * t;
    return (sp_point){0.2 + 2 * t + 0.55 * cos(arm) + 0.75 * cos(racquet),
                      1.5 + 1.5 * t - 5 * t * t + 0.55 * sin(arm) + 0.75 * sin(racquet)};
}

/* The racquet stopped gaining 6 ms before contact. */
static sp_point spent_early(double t) {
    const double arm = 1.309 + 10 * t, racquet = 1.4835 + 38 * t - 60 * t * t - 1500 * t * t * t;
    return (sp_point){0.2 + 0.55 * cos(arm) + 0.75 * cos(racquet),
                      1.5 + 0.55 * sin(arm) + 0.75 * sin(racquet)};
}

static double true_speed(motion_at *at) {
    const double h = 1e-6;
    const sp_point way = sp_point_subtract(at(h), at(-h));
    return sp_point_length(way) / (2 * h);
}

typedef struct {
    motion_at *at;
    double rate;
    bool touch_on_frame, scale_is_exact;
} swing_case;

/* One filmed swing; the contact frame is the last before the touch at time 0. */
static bool holds_truth(const swing_case *c, dice *d, double *width) {
    const double phase = c->touch_on_frame ? 0 : flat(d);
    const double depth = c->scale_is_exact ? 1 : 1 + 0.05 * bell(d);
    filmed f = filmed_new((film){.view = SP_VIEW_SIDE, .rate = c->rate});
    filmed_moment(&f, "contact", CONTACT);
    for (int frame = CONTACT - 8; frame <= CONTACT; frame++) {
        const sp_point tip = c->at((frame - CONTACT - phase) / c->rate);
        filmed_put_noisy(&f, frame, SP_POINT_RACQUET_TIP, tip.x, tip.y, 1.5 * bell(d),
                         1.5 * bell(d));
    }
    sp_scale_entry entry = {.id = "line",
                            .method = SP_SCALE_LINE,
                            .a = filmed_pixel(&f, -2.0, -0.1),
                            .b = filmed_pixel(&f, -2.0 + 4.1148 * depth, -0.1),
                            .distance_m = 4.1148,
                            .distance_name = "baseline_half_singles",
                            .sd_px = 1.5};
    if (!c->scale_is_exact) {
        entry.a.x += 1.5 * bell(d);
        entry.b.x += 1.5 * bell(d);
    }
    assert_true(sp_review_set_scale(f.review, "line", &entry, NULL));
    sp_readout *r = filmed_read(&f, 400, 1 + d->state);
    const sp_measure *m = sp_readout_find(r, "racquet_head_speed", "contact");
    assert_int_equal(m->status, SP_STATUS_PROJECTED);
    const double truth = true_speed(c->at);
    const bool holds = m->value.low <= truth && truth <= m->value.high;
    *width += (m->value.high - m->value.low) / 2;
    sp_readout_free(r);
    filmed_free(&f);
    return holds;
}

static void assert_covers(swing_case c, double at_least) {
    enum { TIMES = 300 };
    dice d = {20270314};
    int held = 0;
    double width = 0;
    for (int i = 0; i < TIMES; i++) held += holds_truth(&c, &d, &width);
    print_message("%3.0f frames/s: %.1f %% of %d hold the true %.1f m/s, +-%.1f\n", c.rate,
                  100.0 * held / TIMES, TIMES, true_speed(c.at), width / TIMES);
    assert_true(held >= at_least * TIMES);
}

static void intervals_hold_the_constructed_swing(void **state) {
    (void)state;
    for (double rate = 120; rate < 250; rate += 120) {
        assert_covers((swing_case){filmed_swing, rate, true, true}, 0.90);
        assert_covers((swing_case){filmed_swing, rate, false, false}, 0.93);
    }
}

static void intervals_hold_a_swing_of_two_links(void **state) {
    (void)state;
    for (double rate = 120; rate < 250; rate += 120)
        assert_covers((swing_case){two_links, rate, false, false}, 0.93);
}

static void intervals_hold_a_swing_spent_before_contact(void **state) {
    (void)state;
    for (double rate = 120; rate < 250; rate += 120)
        assert_covers((swing_case){spent_early, rate, false, false}, 0.92);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(intervals_hold_the_constructed_swing),
        cmocka_unit_test(intervals_hold_a_swing_of_two_links),
        cmocka_unit_test(intervals_hold_a_swing_spent_before_contact),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
