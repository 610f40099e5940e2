#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "draw/strip_layout.h"
#include "serveplumb/strip.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* Uneven, as phones write them: steps of 4 to 130 ms. */
static double *uneven_times(int count) {
    double *times = malloc((size_t)count * sizeof *times);
    assert_non_null(times);
    double now = 0.0;
    uint32_t seed = 4211;
    for (int i = 0; i < count; i++) {
        times[i] = now;
        seed = seed * 1664525u + 1013904223u;
        now += 0.004 + (seed >> 16) % 127 / 1000.0;
    }
    return times;
}

static void every_frame_is_found_where_it_lies(void **state) {
    (void)state;
    static const double widths[] = {600, 823.5, 1377, 3800};
    for (size_t w = 0; w < COUNT(widths); w++) {
        const int count = 1907;
        double *times = uneven_times(count);
        const sp_strip strip = {
            .times = {times, count}, .theme = sp_theme_dark(), .area = {13, 7, widths[w], 76}};
        for (int i = 0; i < count; i++) {
            const double x = sp_strip_x_of(&strip, i);
            assert_true(x >= 13 && x <= 13 + widths[w]);
            assert_int_equal(sp_strip_frame_at(&strip, x), i);
        }
        free(times);
    }
}

static void a_frame_lies_at_its_true_time_not_at_its_number(void **state) {
    (void)state;
    static const double times[] = {0.0, 0.033, 0.067, 0.400, 0.433};
    const sp_strip strip = {.times = {times, 5}, .theme = sp_theme_dark(), .area = {0, 0, 900, 76}};
    const double left = sp_strip_x_of(&strip, 0), right = sp_strip_x_of(&strip, 4);
    for (int i = 0; i < 5; i++) {
        const double share = (sp_strip_x_of(&strip, i) - left) / (right - left);
        assert_true(fabs(share - times[i] / 0.433) < 1e-12);
    }
}

static void between_two_frames_the_nearer_in_time_is_meant(void **state) {
    (void)state;
    static const double times[] = {0.0, 0.033, 0.067, 0.400, 0.433};
    const sp_strip strip = {.times = {times, 5}, .theme = sp_theme_dark(), .area = {0, 0, 900, 76}};
    const double a = sp_strip_x_of(&strip, 2), b = sp_strip_x_of(&strip, 3);
    assert_int_equal(sp_strip_frame_at(&strip, a + 0.49 * (b - a)), 2);
    assert_int_equal(sp_strip_frame_at(&strip, a + 0.51 * (b - a)), 3);
    assert_int_equal(sp_strip_frame_at(&strip, -5000), 0);
    assert_int_equal(sp_strip_frame_at(&strip, 5000), 4);
    assert_int_equal(sp_strip_frame_at(&strip, NAN), 0);
}

static void a_clip_of_one_frame_has_a_strip(void **state) {
    (void)state;
    static const double times[] = {0.0};
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 600, 76, NULL));
    sp_paint *paint = sp_paint_new(&picture, 1.0, NULL);
    for (int count = 0; count <= 1; count++) {
        const sp_strip strip = {
            .times = {times, count}, .theme = sp_theme_dark(), .area = {0, 0, 600, 76}};
        sp_strip_draw(paint, &strip);
        assert_int_equal(sp_strip_frame_at(&strip, 300), 0);
        assert_true(isfinite(sp_strip_x_of(&strip, 0)));
    }
    assert_true(sp_paint_finish(paint, NULL));
    sp_paint_free(paint);
    sp_picture_clear(&picture);
}

static uint32_t pixel(const sp_picture *picture, int x, int y) {
    uint32_t value;
    memcpy(&value, picture->pixels + (size_t)y * picture->stride + (size_t)x * 4, 4);
    return value;
}

static void the_head_stands_on_the_frame_shown_and_nothing_is_drawn_outside(void **state) {
    (void)state;
    double *times = uneven_times(311);
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 1000, 120, NULL));
    sp_paint *paint = sp_paint_new(&picture, 1.0, NULL);
    const sp_theme *theme = sp_theme_light();
    const sp_strip strip = {
        .times = {times, 311}, .theme = theme, .area = {50, 20, 900, 76}, .frame = 200};
    sp_strip_draw(paint, &strip);
    assert_true(sp_paint_finish(paint, NULL));
    const uint32_t accent = 0xFF000000u | (uint32_t)lround(theme->accent.r * 255) << 16 |
                            (uint32_t)lround(theme->accent.g * 255) << 8 |
                            (uint32_t)lround(theme->accent.b * 255);
    const int x = (int)floor(sp_strip_x_of(&strip, 200));
    int found = 0;
    for (int y = 20; y < 96; y++) found += pixel(&picture, x, y) == accent;
    assert_true(found > 10);
    for (int y = 0; y < 120; y++)
        for (int column = 0; column < 1000; column++)
            if (y < 20 || y >= 96 || column < 50 || column >= 950)
                assert_int_equal(pixel(&picture, column, y), 0);
    sp_paint_free(paint);
    sp_picture_clear(&picture);
    free(times);
}

static void crowded_flags_are_spread_apart_in_order_and_near_their_places(void **state) {
    (void)state;
    double centers[] = {300, 302, 305, 309, 700};
    const double widths[] = {66, 58, 47, 71, 40};
    assert_true(sp_strip_spread(centers, widths, 5, 4, 0, 800));
    for (int i = 1; i < 5; i++) {
        const double gap = centers[i] - widths[i] / 2 - centers[i - 1] - widths[i - 1] / 2;
        assert_true(gap >= 4 - 1e-9);
    }
    assert_true(fabs(centers[4] - 700) < 1e-9);
    assert_true(centers[0] < 300 && centers[3] > 309);
    /* least squares: the four of the crowd are as far left as right, together */
    const double moved = centers[0] + centers[1] + centers[2] + centers[3] - 300 - 302 - 305 - 309;
    assert_true(fabs(moved) < 1e-9);
}

static void flags_at_the_edge_stay_inside_and_too_many_are_refused(void **state) {
    (void)state;
    double centers[] = {2, 3, 4};
    const double widths[] = {50, 60, 70};
    assert_true(sp_strip_spread(centers, widths, 3, 4, 0, 500));
    assert_true(centers[0] >= 25 - 1e-9);
    double right[] = {498, 499, 500};
    assert_true(sp_strip_spread(right, widths, 3, 4, 0, 500));
    assert_true(right[2] <= 500 - 35 + 1e-9 && right[0] < right[1] && right[1] < right[2]);
    double none[] = {2, 3, 4};
    assert_false(sp_strip_spread(none, widths, 3, 4, 0, 187));
}

static void times_are_labelled_at_round_steps(void **state) {
    (void)state;
    static const double cases[][2] = {{0.013, 0.02}, {0.5, 0.5},      {0.51, 1.0}, {1.9, 2.0},
                                      {2.1, 5.0},    {0.0007, 0.001}, {37.0, 50.0}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        const double got = sp_strip_round_step(cases[i][0]);
        if (fabs(got - cases[i][1]) > 1e-9 * cases[i][1])
            fail_msg("step for %g: %g, expected %g", cases[i][0], got, cases[i][1]);
    }
}

static void a_part_of_the_clip_fills_the_whole_track(void **state) {
    (void)state;
    double *times = uneven_times(403);
    const double from = times[120], to = times[171];
    const sp_strip strip = {.times = {times, 403},
                            .theme = sp_theme_dark(),
                            .area = {9, 0, 913, 104},
                            .from_s = from,
                            .to_s = to};
    assert_true(fabs(sp_strip_x_of(&strip, 120) - sp_strip_rows(&strip).left) < 1e-9);
    assert_true(fabs(sp_strip_x_of(&strip, 171) - sp_strip_rows(&strip).right) < 1e-9);
    for (int i = 120; i <= 171; i++) {
        const double x = sp_strip_x_of(&strip, i);
        assert_int_equal(sp_strip_frame_at(&strip, x), i);
        assert_true(fabs(sp_strip_seconds_at(&strip, x) - times[i]) < 1e-9);
    }
    assert_false(sp_strip_shows(&strip, sp_strip_x_of(&strip, 118)));
    free(times);
}

/* How many pixels of a picture of the strip are nearly of a colour. */
static int pixels_of(const sp_strip *strip, sp_color color) {
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 900, 104, NULL));
    sp_paint *paint = sp_paint_new(&picture, 1.0, NULL);
    sp_paint_clear(paint, strip->theme->sheet);
    sp_strip_draw(paint, strip);
    assert_true(sp_paint_finish(paint, NULL));
    const double wanted[3] = {color.b * 255, color.g * 255, color.r * 255};
    int count = 0;
    for (int y = 0; y < 104; y++)
        for (int x = 0; x < 900; x++) {
            const uint32_t value = pixel(&picture, x, y);
            bool same = true;
            for (int c = 0; c < 3; c++)
                same = same && fabs((value >> 8 * c & 255) - wanted[c]) < 24;
            count += same;
        }
    sp_paint_free(paint);
    sp_picture_clear(&picture);
    return count;
}

static void a_damaged_frame_is_crossed_and_a_curve_stops_where_it_has_no_value(void **state) {
    (void)state;
    double times[60], values[60];
    uint8_t states[60] = {0};
    for (int i = 0; i < 60; i++) {
        times[i] = i / 240.0;
        values[i] = i >= 20 && i < 31 ? 3.7 * i * i : NAN;
    }
    const sp_theme *theme = sp_theme_dark();
    sp_strip strip = {.times = {times, 60}, .theme = theme, .area = {0, 0, 900, 104}};
    assert_int_equal(pixels_of(&strip, theme->warn), 0);
    assert_int_equal(pixels_of(&strip, theme->racquet), 0);
    states[7] = SP_STRIP_DAMAGED;
    strip.states = states;
    assert_true(pixels_of(&strip, theme->warn) > 4);
    strip.curve_count = 1;
    strip.curves[0] = (sp_strip_curve){.values = values, .color = theme->racquet};
    const int short_curve = pixels_of(&strip, theme->racquet);
    assert_true(short_curve > 100);
    for (int i = 31; i < 55; i++) values[i] = 3.7 * i * i;
    assert_true(pixels_of(&strip, theme->racquet) > 1.5 * short_curve);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_part_of_the_clip_fills_the_whole_track),
        cmocka_unit_test(a_damaged_frame_is_crossed_and_a_curve_stops_where_it_has_no_value),
        cmocka_unit_test(every_frame_is_found_where_it_lies),
        cmocka_unit_test(a_frame_lies_at_its_true_time_not_at_its_number),
        cmocka_unit_test(between_two_frames_the_nearer_in_time_is_meant),
        cmocka_unit_test(a_clip_of_one_frame_has_a_strip),
        cmocka_unit_test(the_head_stands_on_the_frame_shown_and_nothing_is_drawn_outside),
        cmocka_unit_test(crowded_flags_are_spread_apart_in_order_and_near_their_places),
        cmocka_unit_test(flags_at_the_edge_stay_inside_and_too_many_are_refused),
        cmocka_unit_test(times_are_labelled_at_round_steps),
    };
    return cmocka_run_group_tests_name("draw: strip", tests, NULL, NULL);
}
