/* The parts of the window that need no display: where things lie, what is due next, the table of
 * keys, and fingers. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <SDL.h>
#include <cmocka.h>

#include "near.h"
#include "unit/window_desk.h"
#include "window/actions.h"
#include "window/commands.h"
#include "window/moments.h"
#include "window/small_picture.h"
#include "window/state.h"
#include "window/steps.h"

static const SDL_Rect CANVAS = {0, 0, 932, 676};

static void the_parts_cover_the_window_without_gaps(void **state) {
    (void)state;
    static const int sizes[][2] = {
        {1280, 800}, {1920, 1080}, {1080, 1920}, {900, 560}, {3840, 2160}};
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++)
        for (double density = 1; density <= 2; density += 0.37)
            for (double aspect = 0; aspect < 2.4; aspect += 0.57) {
                const layout l = layout_make(sizes[i][0], sizes[i][1], density, aspect);
                assert_int_equal(l.canvas.h + l.bar.h + l.strip.h + (l.upright ? l.sheet.h : 0),
                                 l.height);
                assert_int_equal(l.canvas.w + (l.upright ? 0 : l.sheet.w), l.width);
                assert_int_equal(l.bar.y, l.canvas.h);
                assert_int_equal(l.strip.y, l.bar.y + l.bar.h);
                assert_true(l.canvas.w >= l.width / 2 && l.canvas.h >= l.height / 4);
            }
}

static void a_place_on_the_window_and_back_is_the_same(void **state) {
    (void)state;
    const placement p = {.zoom = 2.8625, .x = 8, .y = 80.5};
    const sp_point at = {317.5, 411.5};
    const sp_point back = placement_to_window(&p, placement_to_upright(&p, at));
    assert_near(back.x, at.x, 1e-9);
    assert_near(back.y, at.y, 1e-9);
    /* The middle of the first pixel of the clip lies half a pixel of the clip inside its corner. */
    const sp_point first = placement_to_window(&p, (sp_point){0.5, 0.5});
    assert_near(first.x, 8 + 2.8625 / 2, 1e-9);
    assert_near(first.y, 80.5 + 2.8625 / 2, 1e-9);
}

static void zooming_keeps_what_is_under_the_pointer(void **state) {
    (void)state;
    placement p = placement_fit(CANVAS, 1, 1080, 1920);
    const sp_point at = {470.5, 300.5};
    const sp_point under = placement_to_upright(&p, at);
    for (int i = 0; i < 7; i++) {
        p = placement_zoom(p, CANVAS, 1080, 1920, 1.37, at);
        const sp_point now = placement_to_upright(&p, at);
        assert_near(now.x, under.x, 1e-9);
        assert_near(now.y, under.y, 1e-9);
    }
    assert_false(p.fitted);
}

static void a_picture_cannot_be_moved_out_of_sight(void **state) {
    (void)state;
    placement p = placement_fit(CANVAS, 1, 480, 270);
    p = placement_pan(p, CANVAS, 480, 270, 50000, -50000);
    const sp_point middle = {CANVAS.w / 2.0, CANVAS.h / 2.0};
    const sp_point seen = placement_to_upright(&p, middle);
    assert_true(seen.x > -1e-6 && seen.y < 270 + 1e-6);
}

static void revealing_brings_a_point_well_inside(void **state) {
    (void)state;
    placement p = {.zoom = 9, .x = -3100, .y = -40};
    const sp_point upright = {31.4, 207.9};
    p = placement_reveal(p, CANVAS, upright);
    const sp_point at = placement_to_window(&p, upright);
    assert_true(at.x > 0.1 * CANVAS.w && at.x < 0.9 * CANVAS.w);
    assert_true(at.y > 0.1 * CANVAS.h && at.y < 0.9 * CANVAS.h);
}

static void no_key_does_two_things(void **state) {
    (void)state;
    for (size_t i = 0; i < command_count(); i++)
        for (size_t j = 0; j < i; j++) {
            const command *a = command_at(i), *b = command_at(j);
            if (a->key == b->key && a->held == b->held)
                fail_msg("'%s' and '%s' have one key", a->title ? a->title : a->keys,
                         b->title ? b->title : b->keys);
        }
}

/* Of a column of the card of keys: 390 units, less 140 before the words and 12 after them. */
static void no_row_of_the_card_of_keys_is_cut(void **state) {
    (void)state;
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 8, 8, NULL));
    sp_paint *paint = sp_paint_new(&picture, 1, NULL);
    const sp_theme *theme = sp_theme_dark();
    for (size_t i = 0; i < command_count(); i++) {
        const command *c = command_at(i);
        if (c->title == NULL) continue;
        const sp_text_style title = {.size = theme->text_px}, keys = {.size = theme->small_px};
        if (sp_paint_text_size(paint, &title, c->title).width > 238)
            fail_msg("'%s' is too long", c->title);
        if (sp_paint_text_size(paint, &keys, c->keys).width > 128)
            fail_msg("'%s' is too long", c->keys);
    }
    sp_paint_free(paint);
    sp_picture_clear(&picture);
}

static void a_small_picture_is_read_back_and_a_cut_one_is_not(void **state) {
    const desk *d = *state;
    char path[96];
    snprintf(path, sizeof path, "%s/small.ppm", d->folder);
    sp_picture to, back = {0};
    assert_true(sp_picture_init(&to, 61, 109, NULL));
    uint32_t *pixels = (void *)to.pixels;
    for (size_t i = 0; i < to.stride / 4 * 109; i++)
        pixels[i] = 0xFF000000u | (uint32_t)(i * 40503u & 0xFFFFFFu);
    small_picture_write(path, &to);
    small_picture_read(path, &back);
    assert_int_equal(back.width, 61);
    assert_int_equal(back.height, 109);
    assert_memory_equal(back.pixels, to.pixels, to.stride * 109);
    sp_picture_clear(&back);
    assert_int_equal(truncate(path, 1000), 0);
    small_picture_read(path, &back);
    assert_null(back.pixels);
    unlink(path);
    sp_picture_clear(&to);
}

static void every_action_on_the_card_of_keys_has_its_words(void **state) {
    (void)state;
    assert_non_null(command_at(0)->group);
    for (size_t i = 0; i < command_count(); i++) {
        const command *c = command_at(i);
        if (c->title == NULL) continue;
        assert_true(strlen(c->title) > 2);
        assert_true(strlen(c->keys) > 0);
        assert_string_equal(command_keys(c->act, c->argument), c->keys);
    }
    for (int i = 0; i < MOMENT_COUNT; i++)
        assert_int_equal(strlen(command_keys(act_name_moment, i)), 1);
}

static void a_finger_taps_the_point_that_is_due(void **state) {
    window *w = ((desk *)*state)->w;
    name_trophy(w);
    sp_point_name due;
    assert_true(tool_due(w, &due));
    const sp_point at = {201.37, 98.21};
    finger(w, SDL_FINGERDOWN, 7, (sp_point){190, 90});
    finger(w, SDL_FINGERMOTION, 7, at);
    finger(w, SDL_FINGERUP, 7, at);
    sp_mark mark;
    assert_true(sp_review_mark(w->session.review, 0, due, &mark));
    assert_near(mark.at.x, at.x, 1e-3); /* SDL gives places of fingers as floats */
    assert_near(mark.at.y, at.y, 1e-3);
    assert_int_equal(access(w->session.review_path, F_OK), 0);
}

static void a_tap_beside_a_point_places_the_one_that_is_due(void **state) {
    window *w = ((desk *)*state)->w;
    name_trophy(w);
    sp_point_name first, second;
    assert_true(tool_due(w, &first));
    const sp_point at = {201.5, 98.5}, near_it = {202.5, 98.5};
    finger(w, SDL_FINGERDOWN, 7, at);
    finger(w, SDL_FINGERUP, 7, at);
    assert_true(tool_due(w, &second));
    assert_int_not_equal(first, second);
    finger(w, SDL_FINGERDOWN, 7, near_it);
    finger(w, SDL_FINGERUP, 7, near_it);
    sp_mark mark;
    assert_true(sp_review_mark(w->session.review, 0, second, &mark));
    assert_near(mark.at.x, near_it.x, 1e-3);
    assert_true(sp_review_mark(w->session.review, 0, first, &mark));
    assert_near(mark.at.x, at.x, 1e-3);
}

static void a_drag_from_a_point_moves_it_while_another_is_due(void **state) {
    window *w = ((desk *)*state)->w;
    name_trophy(w);
    sp_point_name first, second;
    assert_true(tool_due(w, &first));
    const sp_point at = {201.5, 98.5}, to = {171.5, 88.5};
    finger(w, SDL_FINGERDOWN, 7, at);
    finger(w, SDL_FINGERUP, 7, at);
    assert_true(tool_due(w, &second));
    finger(w, SDL_FINGERDOWN, 7, at);
    finger(w, SDL_FINGERMOTION, 7, (sp_point){190, 90});
    finger(w, SDL_FINGERMOTION, 7, to);
    finger(w, SDL_FINGERUP, 7, to);
    sp_mark mark;
    assert_false(sp_review_mark(w->session.review, 0, second, NULL));
    assert_true(sp_review_mark(w->session.review, 0, first, &mark));
    assert_near(mark.at.x, to.x, 1e-3);
    assert_near(mark.at.y, to.y, 1e-3);
}

static void two_fingers_zoom_and_tap_nothing(void **state) {
    window *w = ((desk *)*state)->w;
    name_trophy(w);
    const double before = w->placement.zoom;
    const sp_point a = {100, 100}, b = {180, 150};
    finger(w, SDL_FINGERDOWN, 1, a);
    finger(w, SDL_FINGERDOWN, 2, b);
    /* The second finger goes twice as far from the first, which stays. */
    finger(w, SDL_FINGERMOTION, 2, (sp_point){260, 200});
    assert_near(w->placement.zoom, 2 * before, 1e-4 * before);
    finger(w, SDL_FINGERUP, 2, b);
    finger(w, SDL_FINGERUP, 1, a);
    assert_int_equal(sp_review_marked_count(w->session.review), 0);
}

static void the_next_step_follows_what_is_in_the_review(void **state) {
    session *s = &((desk *)*state)->w->session;
    s->who = false;
    assert_int_equal(step_next(s, 0).kind, STEP_WHO);
    s->who = true;
    desk *d = *state;
    d->facts.slow_motion_suspected = true;
    assert_int_equal(step_next(s, 0).kind, STEP_SPEED);
    s->speed = true;
    step next = step_next(s, 0);
    assert_int_equal(next.kind, STEP_MOMENT);
    assert_true(moment_asked(moment_kind_at(next.moment)->name, SP_VIEW_SIDE));
    assert_true(sp_review_set_moment(s->review, "trophy", 11, NULL));
    next = step_next(s, 11);
    assert_int_equal(next.kind, STEP_POINT);
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = step_points(s, 11, points);
    assert_true(count > 3);
    assert_int_equal(next.point, points[0]);
    step_skip(s, 11, points[0], true);
    assert_int_equal(step_next(s, 11).point, points[1]);
    step_skip(s, 11, points[0], false);
    assert_int_equal(step_next(s, 11).point, points[0]);
}

static void a_point_left_out_is_counted_as_passed(void **state) {
    session *s = &((desk *)*state)->w->session;
    assert_true(sp_review_set_moment(s->review, "trophy", 11, NULL));
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = step_points(s, 11, points);
    assert_int_equal(step_point_number(s, 11), 1);
    const sp_mark mark = {.at = {31.7, 47.3}, .by = SP_BY_TAP};
    assert_true(sp_review_set_mark(s->review, 11, points[0], &mark, NULL));
    step_skip(s, 11, points[1], true);
    assert_int_equal(step_point_number(s, 11), 3);
    assert_int_equal(step_points_due(s, 11), count - 2);
    for (size_t i = 2; i + 1 < count; i++) step_skip(s, 11, points[i], true);
    assert_int_equal(step_point_number(s, 11), count);
    step_skip(s, 11, points[count - 1], true);
    assert_int_equal(step_points_due(s, 11), 0);
}

static void when_all_is_set_the_step_is_to_read(void **state) {
    session *s = &((desk *)*state)->w->session;
    const char *names[] = {"release", "trophy", "drop", "contact"};
    for (int i = 0; i < 4; i++) {
        const int frame = 5 + 7 * i;
        assert_true(sp_review_set_moment(s->review, names[i], frame, NULL));
        sp_point_name points[SP_POINT_COUNT];
        const size_t count = step_points(s, frame, points);
        for (size_t j = 0; j < count; j++) {
            const sp_mark mark = {.at = {31.7 + 3.1 * (double)j, 47.3}, .by = SP_BY_TAP};
            assert_int_equal(step_next(s, frame).kind, STEP_POINT);
            assert_true(sp_review_set_mark(s->review, frame, points[j], &mark, NULL));
        }
    }
    assert_int_equal(step_next(s, 0).kind, STEP_SCALE);
    const sp_scale_entry scale = {
        .id = "line", .a = {11.5, 200.2}, .b = {301.1, 203.4}, .distance_m = 4.1148};
    assert_true(sp_review_set_scale(s->review, "line", &scale, NULL));
    assert_int_equal(step_next(s, 0).kind, STEP_READ);
}

static void playing_finds_the_frame_that_has_begun(void **state) {
    session *s = &((desk *)*state)->w->session;
    assert_int_equal(session_frame_at(s, 0), 0);
    assert_int_equal(session_frame_at(s, 7 / 30.0 + 1e-6), 7);
    assert_int_equal(session_frame_at(s, 8 / 30.0 - 1e-6), 7);
    assert_int_equal(session_frame_at(s, 99), 39);
    assert_true(sp_review_set_slowdown(s->review, 8, NULL));
    assert_int_equal(session_frame_at(s, 7 / 240.0 + 1e-6), 7);
    assert_near(session_time_s(s, 12), 12 / 240.0, 1e-12);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_parts_cover_the_window_without_gaps),
        cmocka_unit_test(a_place_on_the_window_and_back_is_the_same),
        cmocka_unit_test(zooming_keeps_what_is_under_the_pointer),
        cmocka_unit_test(a_picture_cannot_be_moved_out_of_sight),
        cmocka_unit_test(revealing_brings_a_point_well_inside),
        cmocka_unit_test(no_key_does_two_things),
        cmocka_unit_test(no_row_of_the_card_of_keys_is_cut),
        cmocka_unit_test_setup_teardown(a_small_picture_is_read_back_and_a_cut_one_is_not,
                                        open_desk, close_desk),
        cmocka_unit_test(every_action_on_the_card_of_keys_has_its_words),
        cmocka_unit_test_setup_teardown(a_finger_taps_the_point_that_is_due, open_desk, close_desk),
        cmocka_unit_test_setup_teardown(a_tap_beside_a_point_places_the_one_that_is_due, open_desk,
                                        close_desk),
        cmocka_unit_test_setup_teardown(a_drag_from_a_point_moves_it_while_another_is_due,
                                        open_desk, close_desk),
        cmocka_unit_test_setup_teardown(two_fingers_zoom_and_tap_nothing, open_desk, close_desk),
        cmocka_unit_test_setup_teardown(the_next_step_follows_what_is_in_the_review, open_desk,
                                        close_desk),
        cmocka_unit_test_setup_teardown(a_point_left_out_is_counted_as_passed, open_desk,
                                        close_desk),
        cmocka_unit_test_setup_teardown(when_all_is_set_the_step_is_to_read, open_desk, close_desk),
        cmocka_unit_test_setup_teardown(playing_finds_the_frame_that_has_begun, open_desk,
                                        close_desk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
