#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "serveplumb/paint.h"

typedef struct {
    sp_picture picture;
    sp_paint *paint;
} easel;

static const sp_color black = {0, 0, 0, 1}, red = {1, 0, 0, 1}, white = {1, 1, 1, 1};

static easel easel_new(int width, int height, double density) {
    easel made;
    assert_true(sp_picture_init(&made.picture, width, height, NULL));
    made.paint = sp_paint_new(&made.picture, density, NULL);
    assert_non_null(made.paint);
    sp_paint_clear(made.paint, black);
    return made;
}

static void easel_free(easel *used) {
    sp_paint_free(used->paint);
    sp_picture_clear(&used->picture);
}

static uint32_t pixel(easel *used, int x, int y) {
    sp_paint_finish(used->paint, NULL);
    uint32_t value;
    memcpy(&value, used->picture.pixels + (size_t)y * used->picture.stride + (size_t)x * 4, 4);
    return value;
}

static int lit_pixels(easel *used) {
    int lit = 0;
    for (int y = 0; y < used->picture.height; y++)
        for (int x = 0; x < used->picture.width; x++) lit += pixel(used, x, y) != 0xFF000000;
    return lit;
}

static sp_text_style style_of(double size) { return (sp_text_style){.size = size, .color = white}; }

static void the_first_failure_is_kept_and_later_drawing_does_nothing(void **state) {
    (void)state;
    easel used = easel_new(37, 23, 1.0);
    sp_paint_disc(used.paint, (sp_point){NAN, 5.0}, 4.0, red);
    sp_paint_fill_rect(used.paint, (sp_rect){0, 0, 37, 23}, 0, red);
    sp_paint_text(used.paint, &(sp_text_style){.size = 12, .color = red}, (sp_point){1, 1}, "12");
    assert_int_equal(lit_pixels(&used), 0);
    for (int again = 0; again < 2; again++) {
        sp_error error = {0};
        assert_false(sp_paint_finish(used.paint, &error));
        assert_int_equal(error.code, SP_ERROR_ARGUMENT);
        assert_non_null(strstr(error.message, "not a number"));
    }
    easel_free(&used);
}

static void a_place_far_outside_the_picture_is_no_failure(void **state) {
    (void)state;
    easel used = easel_new(41, 29, 2.0);
    sp_paint_line(used.paint, (sp_point){-1e12, 7.0}, (sp_point){1e12, 7.0}, 2.0, red);
    assert_true(sp_paint_finish(used.paint, NULL));
    assert_int_equal(pixel(&used, 20, 14), 0xFFFF0000);
    easel_free(&used);
}

static void shapes_stay_inside_the_clip_until_it_is_restored(void **state) {
    (void)state;
    easel used = easel_new(31, 31, 1.0);
    sp_paint_save(used.paint);
    sp_paint_clip(used.paint, (sp_rect){4, 5, 7, 3});
    sp_paint_fill_rect(used.paint, (sp_rect){0, 0, 31, 31}, 0, red);
    assert_int_equal(lit_pixels(&used), 7 * 3);
    sp_paint_restore(used.paint);
    sp_paint_fill_rect(used.paint, (sp_rect){0, 0, 31, 31}, 0, red);
    assert_int_equal(lit_pixels(&used), 31 * 31);
    easel_free(&used);
}

static void a_unit_is_as_many_pixels_as_the_density_says(void **state) {
    (void)state;
    easel used = easel_new(50, 50, 2.5);
    sp_paint_fill_rect(used.paint, (sp_rect){2, 4, 6, 8}, 0, red);
    assert_int_equal(lit_pixels(&used), 15 * 20);
    assert_int_equal(pixel(&used, 5, 10), 0xFFFF0000);
    assert_int_equal(pixel(&used, 4, 10), 0xFF000000);
    easel_free(&used);
}

static void a_text_is_as_wide_in_units_at_every_density(void **state) {
    (void)state;
    easel plain = easel_new(9, 9, 1.0), dense = easel_new(9, 9, 2.75);
    sp_text_style style = style_of(17.0);
    const sp_size a = sp_paint_text_size(plain.paint, &style, "hand 3.4 cm below elbow");
    const sp_size b = sp_paint_text_size(dense.paint, &style, "hand 3.4 cm below elbow");
    assert_true(a.width > 17.0 * 8 && a.width < 17.0 * 16);
    assert_true(a.height > 17.0 && a.height < 17.0 * 1.5);
    assert_true(fabs(a.width - b.width) < 0.02 * a.width);
    assert_true(fabs(a.height - b.height) < 0.03 * a.height);
    easel_free(&plain);
    easel_free(&dense);
}

static void text_grows_with_its_size_and_when_bold(void **state) {
    (void)state;
    easel used = easel_new(9, 9, 1.0);
    sp_text_style style = style_of(13.0);
    const double small = sp_paint_text_size(used.paint, &style, "elbow 104°").width;
    style.size = 26.0;
    const double large = sp_paint_text_size(used.paint, &style, "elbow 104°").width;
    style.bold = true;
    const double bold = sp_paint_text_size(used.paint, &style, "elbow 104°").width;
    assert_true(fabs(large / small - 2.0) < 0.05);
    assert_true(bold > large * 1.03);
    easel_free(&used);
}

static void figures_are_all_of_one_width(void **state) {
    (void)state;
    easel used = easel_new(9, 9, 1.0);
    sp_text_style style = style_of(19.0);
    style.digits = true;
    const double ones = sp_paint_text_size(used.paint, &style, "1111").width;
    for (char digit = '0'; digit <= '9'; digit++) {
        const char text[] = {digit, digit, digit, digit, '\0'};
        const double width = sp_paint_text_size(used.paint, &style, text).width;
        assert_true(fabs(width - ones) < 0.01);
    }
    easel_free(&used);
}

static void a_long_text_ends_at_the_width_it_is_given(void **state) {
    (void)state;
    easel used = easel_new(9, 9, 1.0);
    const char *text = "baseline, centre mark to singles sideline";
    sp_text_style style = style_of(15.0);
    const sp_size free_size = sp_paint_text_size(used.paint, &style, text);
    style.max_width = 120.0;
    const sp_size cut = sp_paint_text_size(used.paint, &style, text);
    style.wrap = true;
    const sp_size wrapped = sp_paint_text_size(used.paint, &style, text);
    assert_true(free_size.width > 240.0);
    assert_true(cut.width <= 120.5 && fabs(cut.height - free_size.height) < 1.0);
    assert_true(wrapped.width <= 120.5 && wrapped.height > 2.5 * free_size.height);
    easel_free(&used);
}

static void line_breaks_count_only_where_lines_may_break(void **state) {
    (void)state;
    easel used = easel_new(9, 9, 1.0);
    sp_text_style style = style_of(15.0);
    const double one = sp_paint_text_size(used.paint, &style, "a b").height;
    assert_true(sp_paint_text_size(used.paint, &style, "a\nb\r\nc").height < one * 1.1);
    style.wrap = true;
    assert_true(sp_paint_text_size(used.paint, &style, "a\nb").height > one * 1.9);
    easel_free(&used);
}

static void hostile_text_is_drawn_bounded_and_without_a_failure(void **state) {
    (void)state;
    easel used = easel_new(211, 61, 1.0);
    const size_t length = 3000001;
    char *endless = malloc(length + 1);
    assert_non_null(endless);
    memset(endless, 'W', length);
    endless[length] = '\0';
    const char *const texts[] = {"\xff\xfe\x80 cut \xe2\x82",
                                 "\xc0\xaf\xed\xa0\x80",
                                 "tab\tbell\a escape\x1b[31m",
                                 "\xe2\x80\xae turned \xe2\x81\xa6 around",
                                 "e\xcc\x81\xcc\x82\xcc\x83\xcc\x84\xcc\x85\xcc\x86",
                                 "\xf0\x9f\x8e\xbe \xe3\x82\xb5\xe3\x83\xbc\xe3\x83\x96",
                                 "",
                                 endless};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        sp_text_style style = style_of(14.0);
        style.max_width = 200.0;
        style.halo = red;
        style.halo_width = 2.0;
        const sp_size cut = sp_paint_text(used.paint, &style, (sp_point){3, 3}, texts[i]);
        assert_true(cut.width <= 200.5 && cut.height < 60.0);
        style.max_width = 0.0;
        const sp_size size = sp_paint_text_size(used.paint, &style, texts[i]);
        assert_true(size.width < 14.0 * 5000);
        assert_true(sp_paint_finish(used.paint, NULL));
    }
    free(endless);
    easel_free(&used);
}

static void a_text_that_turns_others_around_reads_left_to_right(void **state) {
    (void)state;
    easel plain = easel_new(120, 30, 1.0), turned = easel_new(120, 30, 1.0);
    const sp_text_style style = style_of(15.0);
    sp_paint_text(plain.paint, &style, (sp_point){4, 4}, "abc 123");
    sp_paint_text(turned.paint, &style, (sp_point){4, 4},
                  "\xe2\x80\xae"
                  "abc 123");
    for (int y = 0; y < 30; y++)
        for (int x = 0; x < 120; x++) assert_int_equal(pixel(&plain, x, y), pixel(&turned, x, y));
    assert_true(lit_pixels(&plain) > 100);
    easel_free(&plain);
    easel_free(&turned);
}

static void a_halo_lies_behind_the_letters(void **state) {
    (void)state;
    easel bare = easel_new(60, 40, 1.0), ringed = easel_new(60, 40, 1.0);
    sp_text_style style = style_of(24.0);
    sp_paint_text(bare.paint, &style, (sp_point){8, 4}, "104");
    style.halo = red;
    style.halo_width = 3.0;
    sp_paint_text(ringed.paint, &style, (sp_point){8, 4}, "104");
    int white_kept = 0, red_added = 0;
    for (int y = 0; y < 40; y++) {
        for (int x = 0; x < 60; x++) {
            if (pixel(&bare, x, y) != 0xFFFFFFFF) {
                red_added += pixel(&ringed, x, y) == 0xFFFF0000;
                continue;
            }
            assert_int_equal(pixel(&ringed, x, y), 0xFFFFFFFF);
            white_kept++;
        }
    }
    assert_true(white_kept > 20 && red_added > 100);
    easel_free(&bare);
    easel_free(&ringed);
}

static void the_same_text_is_drawn_alike_from_the_cache_and_after_many_others(void **state) {
    (void)state;
    easel first = easel_new(90, 24, 1.0), later = easel_new(90, 24, 1.0);
    const sp_text_style style = style_of(15.0);
    for (int i = 0; i < 700; i++) {
        char text[32];
        snprintf(text, sizeof text, "frame %d", i);
        assert_true(sp_paint_text_size(later.paint, &style, text).width > 30.0);
    }
    sp_paint_text(first.paint, &style, (sp_point){2, 2}, "frame 3");
    sp_paint_text(later.paint, &style, (sp_point){2, 2}, "frame 3");
    for (int y = 0; y < 24; y++)
        for (int x = 0; x < 90; x++) assert_int_equal(pixel(&first, x, y), pixel(&later, x, y));
    easel_free(&first);
    easel_free(&later);
}

static void an_enlarged_pixel_stays_a_square_unless_smooth(void **state) {
    (void)state;
    sp_picture small;
    assert_true(sp_picture_init(&small, 3, 2, NULL));
    const uint32_t colors[] = {0xFFFF0000, 0xFF00FF00, 0xFF0000FF,
                               0xFF111111, 0xFF777777, 0xFFEEEEEE};
    memcpy(small.pixels, colors, sizeof colors);
    easel used = easel_new(30, 20, 1.0);
    const sp_rect whole = {0, 0, 3, 2}, target = {0, 0, 30, 20};
    sp_paint_picture(used.paint, &small, whole, target, false);
    for (int y = 0; y < 20; y++)
        for (int x = 0; x < 30; x++)
            assert_int_equal(pixel(&used, x, y), colors[y / 10 * 3 + x / 10]);
    sp_paint_picture(used.paint, &small, whole, target, true);
    assert_int_equal(pixel(&used, 0, 0), colors[0]);
    const uint32_t between = pixel(&used, 9, 2);
    assert_true((between >> 16 & 0xFF) > 80 && (between >> 8 & 0xFF) > 80);
    easel_free(&used);
    sp_picture_clear(&small);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_failure_is_kept_and_later_drawing_does_nothing),
        cmocka_unit_test(a_place_far_outside_the_picture_is_no_failure),
        cmocka_unit_test(shapes_stay_inside_the_clip_until_it_is_restored),
        cmocka_unit_test(a_unit_is_as_many_pixels_as_the_density_says),
        cmocka_unit_test(a_text_is_as_wide_in_units_at_every_density),
        cmocka_unit_test(text_grows_with_its_size_and_when_bold),
        cmocka_unit_test(figures_are_all_of_one_width),
        cmocka_unit_test(a_long_text_ends_at_the_width_it_is_given),
        cmocka_unit_test(line_breaks_count_only_where_lines_may_break),
        cmocka_unit_test(hostile_text_is_drawn_bounded_and_without_a_failure),
        cmocka_unit_test(a_text_that_turns_others_around_reads_left_to_right),
        cmocka_unit_test(a_halo_lies_behind_the_letters),
        cmocka_unit_test(the_same_text_is_drawn_alike_from_the_cache_and_after_many_others),
        cmocka_unit_test(an_enlarged_pixel_stays_a_square_unless_smooth),
    };
    return cmocka_run_group_tests_name("draw: paint", tests, NULL, NULL);
}
