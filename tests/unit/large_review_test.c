/* A review of 100,000 points: what is done to it takes about ten times as long as with 10,000, or
 * no longer at all where one point is touched, and never a hundred times. Ratios of processor time,
 * each with room for a busy machine: something quadratic would give 100. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "serveplumb/marks_exchange.h"
#include "serveplumb/strip.h"

enum { FRAMES = 324000, FIRST = 100001, SMALL = 10000, LARGE = 100000, NAMES = 5 };
static double seconds[FRAMES];

static const sp_point_name names[NAMES] = {SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_ELBOW,
                                           SP_POINT_RIGHT_HAND, SP_POINT_RACQUET_BUTT,
                                           SP_POINT_RACQUET_TIP};

static sp_mark mark_of(int i) {
    return (sp_mark){.at = {7.25 + i * 37 % 611 + 0.0625, 3.5 + i * 53 % 409 + 0.125},
                     .sd_px = 1.1 + i % 29 / 7.0,
                     .by = SP_BY_CARRY};
}

static sp_review *filled(int points) {
    sp_review_clip clip = {
        .file = "long.mp4", .frames = FRAMES, .width = 640, .height = 480, .slowdown = 1};
    memset(clip.sha256, 'a', 64);
    sp_review *review = sp_review_new(&clip, NULL);
    assert_non_null(review);
    for (int i = 0; i < points; i++) {
        const sp_mark mark = mark_of(i);
        assert_true(sp_review_set_mark(review, FIRST + i / NAMES, names[i % NAMES], &mark, NULL));
    }
    assert_true(sp_review_set_moment(review, "drop", FIRST + 11, NULL));
    assert_true(sp_review_set_moment(review, "contact", FIRST + 31, NULL));
    return review;
}

static void fill_and_undo(int points) {
    sp_review *review = filled(points);
    while (sp_review_undo(review, NULL) != NULL) continue;
    assert_int_equal(sp_review_marked_count(review), 0);
    sp_review_free(review);
}

static void write_and_read(const sp_review *review) {
    char *text = sp_review_detach_text(review, NULL);
    assert_non_null(text);
    sp_review *again = sp_review_parse(text, strlen(text), "long", NULL);
    assert_non_null(again);
    assert_int_equal(sp_review_marked_count(again), sp_review_marked_count(review));
    sp_review_free(again);
    free(text);
}

static void give_and_take(const sp_review *review) {
    sp_error error = {0};
    char *text = sp_marks_detach_coco(review, &error);
    assert_non_null(text);
    sp_review *other = filled(0);
    size_t count = 0;
    assert_true(sp_marks_take_coco(other, text, strlen(text), "long", &count, &error));
    assert_int_equal(count, sp_review_marked_count(review) * NAMES);
    sp_review_free(other);
    free(text);
}

/* As someone taps: here and there, each taken back. */
static void tap_and_undo(sp_review *review) {
    const int frames = (int)sp_review_marked_count(review);
    for (int i = 0; i < 20000; i++) {
        const sp_mark mark = {.at = {200.5 + i % 7, 100.25}, .by = SP_BY_TAP};
        const int frame = FIRST + i * 977 % frames;
        assert_true(sp_review_set_mark(review, frame, names[i % NAMES], &mark, NULL));
        assert_non_null(sp_review_undo(review, NULL));
    }
}

static void read_out(sp_review *review) {
    const sp_readout_options options = {.draws = 200};
    sp_readout *readout = sp_readout_new(review, (sp_frame_times){seconds, FRAMES}, &options, NULL);
    assert_non_null(readout);
    sp_readout_free(readout);
}

/* The whole clip in the width of a window. */
static void draw_strip(sp_review *review) {
    static double values[FRAMES];
    const int frames = (int)sp_review_marked_count(review);
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 900, 120, NULL));
    for (int i = 0; i < FRAMES; i++)
        values[i] = i < FIRST || i >= FIRST + frames ? (double)NAN : sin(i / 3.7);
    const sp_strip strip = {.review = review,
                            .times = {seconds, FRAMES},
                            .theme = sp_theme_dark(),
                            .area = {0, 0, 900, 120},
                            .carried = SP_POINT_RACQUET_TIP + 1,
                            .curve_count = 1,
                            .curves = {{.values = values, .color = sp_theme_dark()->racquet}}};
    sp_paint *paint = sp_paint_new(&picture, 1.0, NULL);
    assert_non_null(paint);
    for (int i = 0; i < 10; i++) sp_strip_draw(paint, &strip);
    assert_true(sp_paint_finish(paint, NULL));
    sp_paint_free(paint);
    sp_picture_clear(&picture);
}

static double processor_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* The least of three. */
static double time_of(void (*work)(sp_review *), int points) {
    double least = INFINITY;
    sp_review *review = filled(points);
    for (int i = 0; i < 3; i++) {
        const double begun = processor_s();
        work(review);
        least = fmin(least, processor_s() - begun);
    }
    sp_review_free(review);
    return least;
}

static void assert_ratio(const char *what, double small_s, double large_s, double most) {
    print_message("%s: %.4f s with 10,000 points, %.4f s with 100,000\n", what, small_s, large_s);
    if (large_s <= most * small_s) return;
    print_error("%s: expected at most %.0f times as long, got %.1f\n", what, most,
                large_s / small_s);
    fail();
}

static void compare(const char *what, void (*work)(sp_review *), double most) {
    assert_ratio(what, time_of(work, SMALL), time_of(work, LARGE), most);
}

static void write_and_read_work(sp_review *review) { write_and_read(review); }
static void give_and_take_work(sp_review *review) { give_and_take(review); }

static void filling_and_undoing_all_grows_with_the_points(void **state) {
    (void)state;
    double times[2] = {INFINITY, INFINITY};
    for (int i = 0; i < 3; i++)
        for (int large = 0; large < 2; large++) {
            const double begun = processor_s();
            fill_and_undo(large ? LARGE : SMALL);
            times[large] = fmin(times[large], processor_s() - begun);
        }
    assert_ratio("filling and undoing", times[0], times[1], 40);
}

static void writing_and_reading_grow_with_the_points(void **state) {
    (void)state;
    compare("writing and reading", write_and_read_work, 40);
}

static void points_of_other_programs_grow_with_the_points(void **state) {
    (void)state;
    compare("COCO out and in", give_and_take_work, 40);
}

static void one_tap_and_its_undo_do_not_grow(void **state) {
    (void)state;
    compare("taps and undos", tap_and_undo, 5);
}

static void the_readout_hardly_grows(void **state) {
    (void)state;
    compare("a readout", read_out, 10);
}

/* Against one without a point: as many strokes as fit in the width are drawn, and no more. */
static void drawing_the_strip_hardly_grows(void **state) {
    (void)state;
    const double none_s = time_of(draw_strip, 0), large_s = time_of(draw_strip, LARGE);
    print_message("the strip: %.4f s without points, %.4f s with 100,000\n", none_s, large_s);
    assert_true(large_s <= 35 * none_s);
}

static int set_times(void **state) {
    (void)state;
    for (int i = 0; i < FRAMES; i++) seconds[i] = i / 30.0;
    return 0;
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(filling_and_undoing_all_grows_with_the_points),
        cmocka_unit_test(writing_and_reading_grow_with_the_points),
        cmocka_unit_test(points_of_other_programs_grow_with_the_points),
        cmocka_unit_test(one_tap_and_its_undo_do_not_grow),
        cmocka_unit_test(the_readout_hardly_grows),
        cmocka_unit_test(drawing_the_strip_hardly_grows),
    };
    return cmocka_run_group_tests(tests, set_times, NULL);
}
