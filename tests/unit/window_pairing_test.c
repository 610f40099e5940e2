/* How two clips belong together: by real time, and hips on hips. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "near.h"
#include "window/pairing.h"

enum { FRAMES = 120 };

typedef struct {
    session s;
    sp_clip_facts facts;
    double times[FRAMES];
} side;

/* Uneven steps, as phones make them. */
static void film(side *to, double rate, double slowdown, int width, int height) {
    const sp_review_clip clip = {.file = "serve.mp4",
                                 .sha256 = "0123456789abcdef0123456789abcdef"
                                           "0123456789abcdef0123456789abcdef",
                                 .frames = FRAMES,
                                 .width = width,
                                 .height = height,
                                 .slowdown = slowdown};
    to->facts = (sp_clip_facts){.width = width, .height = height, .frames = FRAMES};
    for (int i = 0; i < FRAMES; i++) to->times[i] = (i + 0.13 * ((i * 7) % 3)) / rate;
    to->s.facts = &to->facts;
    to->s.times = (sp_frame_times){to->times, FRAMES};
    to->s.review = sp_review_new(&clip, NULL);
    assert_non_null(to->s.review);
}

typedef struct {
    side a, b;
} pair;

static int set_up(void **state) {
    pair *p = calloc(1, sizeof *p);
    film(&p->a, 59.94, 1, 1080, 1920);
    film(&p->b, 30, 8, 1280, 720); /* shot at 240 */
    *state = p;
    return 0;
}

static int tear_down(void **state) {
    pair *p = *state;
    sp_readout_free(p->a.s.readout);
    sp_readout_free(p->b.s.readout);
    sp_review_free(p->a.s.review);
    sp_review_free(p->b.s.review);
    free(p);
    return 0;
}

static void name(side *s, const char *moment, int frame) {
    assert_true(sp_review_set_moment(s->s.review, moment, frame, NULL));
}

/* The slow, obvious version: the least difference of all frames. */
static int nearest(const side *s, double slowdown, double time_s) {
    int best = 0;
    for (int i = 1; i < FRAMES; i++)
        if (fabs(s->times[i] / slowdown - time_s) < fabs(s->times[best] / slowdown - time_s))
            best = i;
    return best;
}

static void locked_frames_are_nearest_in_real_time(void **state) {
    pair *p = *state;
    name(&p->a, "contact", 61);
    name(&p->b, "contact", 87);
    double shift;
    assert_true(pairing_shift(&p->a.s, &p->b.s, "contact", &shift));
    assert_near(shift, p->b.times[87] / 8 - p->a.times[61], 1e-12);
    assert_int_equal(pairing_frame(&p->b.s, p->a.times[61] + shift), 87);
    for (int i = 0; i < FRAMES; i++) {
        const double time = p->a.times[i] + shift;
        assert_int_equal(pairing_frame(&p->b.s, time), nearest(&p->b, 8, time));
    }
}

static void contact_is_the_first_lock_and_the_others_follow_in_turn(void **state) {
    pair *p = *state;
    char moment[SP_REVIEW_ID_MAX] = "";
    assert_false(pairing_moment(p->a.s.review, p->b.s.review, "", moment));
    name(&p->a, "release", 5), name(&p->b, "release", 3);
    name(&p->a, "contact", 61);
    assert_true(pairing_moment(p->a.s.review, p->b.s.review, "", moment));
    assert_string_equal(moment, "release");
    name(&p->b, "contact", 87);
    assert_true(pairing_moment(p->a.s.review, p->b.s.review, "", moment));
    assert_string_equal(moment, "contact");
    assert_true(pairing_moment(p->a.s.review, p->b.s.review, moment, moment));
    assert_string_equal(moment, "release");
    assert_true(pairing_moment(p->a.s.review, p->b.s.review, moment, moment));
    assert_string_equal(moment, "contact");
}

static void tap(side *s, int frame, sp_point_name point, double x, double y) {
    const sp_mark mark = {.at = {x, y}, .by = SP_BY_TAP};
    assert_true(sp_review_set_mark(s->s.review, frame, point, &mark, NULL));
}

static void tap_hips(pair *p) {
    name(&p->a, "contact", 61), name(&p->b, "contact", 87);
    tap(&p->a, 61, SP_POINT_LEFT_HIP, 511.3, 1003.1);
    tap(&p->a, 61, SP_POINT_RIGHT_HIP, 560.9, 1011.7);
    tap(&p->b, 87, SP_POINT_LEFT_HIP, 633.7, 401.9);
    tap(&p->b, 87, SP_POINT_RIGHT_HIP, 651.1, 404.3);
}

static void assert_hips_meet(const pairing_fit *fit) {
    const sp_point b = {(633.7 + 651.1) / 2, (401.9 + 404.3) / 2};
    assert_near(fit->at.x + fit->zoom * b.x, (511.3 + 560.9) / 2, 1e-9);
    assert_near(fit->at.y + fit->zoom * b.y, (1003.1 + 1011.7) / 2, 1e-9);
}

static void be_tall(side *s, double stature_m, double distance_m, double length_px) {
    sp_player player = *sp_review_get_player(s->s.review);
    player.stature_m = stature_m;
    assert_true(sp_review_set_player(s->s.review, &player, NULL));
    const sp_scale_entry line = {.id = "line",
                                 .method = SP_SCALE_LINE,
                                 .a = {100.5, 700.5},
                                 .b = {100.5 + length_px, 700.5},
                                 .distance_m = distance_m};
    assert_true(sp_review_set_scale(s->s.review, "line", &line, NULL));
    assert_true(sp_review_set_active_scale(s->s.review, "line", NULL));
    sp_readout_free(s->s.readout);
    s->s.readout = sp_readout_new(s->s.review, s->s.times, NULL, NULL);
    assert_non_null(s->s.readout);
}

static void players_are_laid_hips_on_hips_and_equally_tall(void **state) {
    pair *p = *state;
    tap_hips(p);
    be_tall(&p->a, 1.73, 4.115, 731.3); /* 177.72 px a metre */
    be_tall(&p->b, 1.91, 5.485, 301.9); /* 55.041 px a metre */
    const pairing_fit fit = pairing_align(&p->a.s, &p->b.s, "contact");
    assert_hips_meet(&fit);
    assert_near(fit.zoom, 1.73 * 731.3 / 4.115 / (1.91 * 301.9 / 5.485), 1e-3 * fit.zoom);
    assert_non_null(strstr(fit.words, "stature"));
}

static void without_a_scale_trunks_are_of_one_length(void **state) {
    pair *p = *state;
    tap_hips(p);
    tap(&p->a, 61, SP_POINT_LEFT_SHOULDER, 520.0, 707.4);
    tap(&p->a, 61, SP_POINT_RIGHT_SHOULDER, 552.2, 707.4);
    tap(&p->b, 87, SP_POINT_LEFT_SHOULDER, 640.1, 303.1);
    tap(&p->b, 87, SP_POINT_RIGHT_SHOULDER, 644.7, 303.1);
    const pairing_fit fit = pairing_align(&p->a.s, &p->b.s, "");
    assert_hips_meet(&fit);
    assert_near(fit.zoom, (1007.4 - 707.4) / (403.1 - 303.1), 1e-9);
    assert_non_null(strstr(fit.words, "trunk"));
}

static void without_hips_the_middles_meet_and_it_is_said(void **state) {
    pair *p = *state;
    const pairing_fit fit = pairing_align(&p->a.s, &p->b.s, "contact");
    assert_near(fit.at.x + fit.zoom * 640, 540, 1e-9);
    assert_near(fit.at.y + fit.zoom * 360, 960, 1e-9);
    assert_non_null(strstr(fit.words, "tap both hips"));
}

#define PAIRED(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
    const struct CMUnitTest tests[] = {
        PAIRED(locked_frames_are_nearest_in_real_time),
        PAIRED(contact_is_the_first_lock_and_the_others_follow_in_turn),
        PAIRED(players_are_laid_hips_on_hips_and_equally_tall),
        PAIRED(without_a_scale_trunks_are_of_one_length),
        PAIRED(without_hips_the_middles_meet_and_it_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
