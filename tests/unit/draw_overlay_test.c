#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../marked_review.h"
#include "draw/scale_bar.h"
#include "draw/scene.h"
#include "draw/words.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const double seconds[] = {0.0, 0.033, 0.071, 0.104, 0.137};

typedef struct {
    sp_picture picture;
    sp_paint *paint;
    sp_review *review;
    sp_readout *readout;
    sp_overlay overlay;
} stage;

static sp_readout *read_out(const sp_review *review) {
    sp_readout *readout = sp_readout_new(review, (sp_frame_times){seconds, 5},
                                         &(sp_readout_options){.draws = 200}, NULL);
    assert_non_null(readout);
    return readout;
}

static stage stage_new(int width, int height, sp_view view, sp_hand hand, int frame) {
    stage made;
    assert_true(sp_picture_init(&made.picture, width, height, NULL));
    made.paint = sp_paint_new(&made.picture, 1.0, NULL);
    assert_non_null(made.paint);
    made.review = marked_review(width, height, 5, view, hand);
    made.readout = read_out(made.review);
    made.overlay = (sp_overlay){.review = made.review,
                                .readout = made.readout,
                                .theme = sp_theme_dark(),
                                .frame = frame,
                                .zoom = 1.0,
                                .area = {0, 0, width, height},
                                .selected = -1,
                                .numbers = true,
                                .scale_bar = true};
    return made;
}

static void stage_free(stage *used) {
    assert_true(sp_paint_finish(used->paint, NULL));
    sp_paint_free(used->paint);
    sp_picture_clear(&used->picture);
    sp_readout_free(used->readout);
    sp_review_free(used->review);
}

/* As sp_overlay_draw does, but with the labels left to look at. */
static void place(scene *s, const stage *on) {
    sp_scene_build(s, on->paint, &on->overlay);
    sp_scene_note_segments(s);
    sp_scene_draw_gap(s);
    sp_scene_draw_segments(s);
    sp_scene_draw_taps(s);
    sp_scene_draw_arcs(s);
    sp_scene_draw_markers(s);
    sp_scene_draw_scale_bar(s);
    sp_scene_place_labels(s);
}

static const scene_label *find_label(const scene *s, const char *word) {
    for (int i = 0; i < s->label_count; i++)
        if (strncmp(s->labels[i].word, word, strlen(word)) == 0) return &s->labels[i];
    return NULL;
}

static void check_labels(const scene *s, sp_rect area) {
    for (int i = 0; i < s->label_count; i++) {
        if (!s->labels[i].placed) continue;
        assert_true(sp_room_inside(area, s->labels[i].rect));
        for (int j = 0; j < i; j++)
            if (s->labels[j].placed)
                assert_false(sp_room_overlap(s->labels[i].rect, s->labels[j].rect, 0.0));
    }
    /* with the scale bar's plate */
    for (int i = 0; i < s->board.rect_count; i++)
        for (int j = 0; j < i; j++)
            assert_false(sp_room_overlap(s->board.rects[i], s->board.rects[j], 0.0));
}

static void labels_lie_inside_and_apart_in_every_view_and_size(void **state) {
    (void)state;
    static const int sizes[][2] = {{1080, 1920}, {1920, 1080}, {600, 430}, {2160, 3840}};
    int placed = 0;
    for (size_t size = 0; size < COUNT(sizes); size++) {
        for (int view = SP_VIEW_SIDE; view <= SP_VIEW_FRONT; view++) {
            for (int frame = MARKED_TROPHY; frame <= MARKED_CONTACT; frame++) {
                stage on = stage_new(sizes[size][0], sizes[size][1], (sp_view)view,
                                     frame % 2 ? SP_HAND_RIGHT : SP_HAND_LEFT, frame);
                scene s;
                place(&s, &on);
                check_labels(&s, on.overlay.area);
                for (int i = 0; i < s.label_count; i++) placed += s.labels[i].placed;
                stage_free(&on);
            }
        }
    }
    assert_true(placed > 100);
}

static void no_label_leaves_a_narrow_part_of_the_picture(void **state) {
    (void)state;
    stage on = stage_new(1920, 1080, SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
    on.overlay.area = (sp_rect){700, 200, 480, 390};
    scene s;
    place(&s, &on);
    check_labels(&s, on.overlay.area);
    const scene_label *gap = find_label(&s, "hand");
    assert_true(gap != NULL && gap->placed);
    stage_free(&on);
}

static void figures_are_high_enough_for_a_phone(void **state) {
    (void)state;
    static const int sizes[][2] = {{1080, 1920}, {1080, 1350}, {1920, 1080}};
    static const double least[] = {0.026, 0.026, 0.019}; /* of the width */
    for (size_t i = 0; i < COUNT(sizes); i++) {
        stage on = stage_new(sizes[i][0], sizes[i][1], SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
        const sp_overlay_drawn drawn = sp_overlay_draw(on.paint, &on.overlay);
        assert_true(0.729 * drawn.text >= least[i] * sizes[i][0]); /* figures of DejaVu Sans */
        stage_free(&on);
    }
}

static void the_gap_is_said_in_words_with_its_interval(void **state) {
    (void)state;
    stage on = stage_new(1080, 1920, SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
    scene s;
    place(&s, &on);
    const scene_label *label = find_label(&s, "hand");
    assert_non_null(label);
    assert_string_equal(label->after, "below elbow");
    assert_null(strchr(label->number, '-'));
    assert_non_null(strstr(label->number, "cm"));
    assert_non_null(strstr(label->interval, " to "));
    assert_null(strchr(label->interval, '-'));
    on.overlay.units = SP_UNITS_IMPERIAL;
    place(&s, &on);
    assert_non_null(strstr(find_label(&s, "hand")->number, "in"));
    stage_free(&on);
}

static void a_hand_above_the_elbow_is_said_to_be_above(void **state) {
    (void)state;
    stage on = stage_new(1080, 1920, SP_VIEW_BACK, SP_HAND_LEFT, MARKED_DROP);
    sp_mark hand;
    assert_true(sp_review_mark(on.review, MARKED_DROP, SP_POINT_LEFT_HAND, &hand));
    hand.at.y -= 210;
    assert_true(sp_review_set_mark(on.review, MARKED_DROP, SP_POINT_LEFT_HAND, &hand, NULL));
    sp_readout_free(on.readout);
    on.overlay.readout = on.readout = read_out(on.review);
    scene s;
    place(&s, &on);
    assert_string_equal(find_label(&s, "hand")->after, "above elbow");
    stage_free(&on);
}

static void without_a_scale_the_gap_is_in_forearms(void **state) {
    (void)state;
    stage on = stage_new(1080, 1920, SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
    assert_true(sp_review_set_scale(on.review, "baseline", NULL, NULL));
    sp_readout_free(on.readout);
    on.overlay.readout = on.readout = read_out(on.review);
    scene s;
    place(&s, &on);
    const scene_label *label = find_label(&s, "hand");
    assert_non_null(label);
    assert_string_equal(label->after, "of a forearm below elbow");
    assert_null(strstr(label->number, "cm"));
    assert_int_equal(s.board.rect_count, s.label_count); /* no scale bar */
    stage_free(&on);
}

static sp_measure measure_of(const sp_measure_kind *kind, double low, double value, double high) {
    return (sp_measure){.kind = kind, .value = {value, low, high}, .status = SP_STATUS_OK};
}

static void words_say_the_sign_only_where_the_interval_decides_it(void **state) {
    (void)state;
    const sp_measure_kind kind = {.id = "trunk_lean", .unit = SP_UNIT_DEGREE};
    const struct {
        double low, value, high;
        sp_view view;
        const char *words;
        bool minus;
    } cases[] = {{3, 7, 11, SP_VIEW_SIDE, "toward the net", false},
                 {-17, -12, -7, SP_VIEW_SIDE, "away from the net", false},
                 {-17, -12, -7, SP_VIEW_BACK, "to the hitting side", false},
                 {-9, -3, 4, SP_VIEW_SIDE, "", true},
                 {-2, 3, 8, SP_VIEW_SIDE, "", false}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        const sp_measure m = measure_of(&kind, cases[i].low, cases[i].value, cases[i].high);
        char words[64], number[64];
        sp_words_sign(&m, cases[i].view, words, sizeof words);
        sp_words_number(&m, SP_UNITS_METRIC, number, sizeof number);
        assert_string_equal(words, cases[i].words);
        assert_int_equal(strchr(number, '-') != NULL, cases[i].minus);
    }
}

static void a_frame_without_its_moment_has_no_numbers(void **state) {
    (void)state;
    stage on = stage_new(1080, 1920, SP_VIEW_BACK, SP_HAND_RIGHT, 4);
    const sp_overlay_drawn drawn = sp_overlay_draw(on.paint, &on.overlay);
    assert_false(drawn.numbers || drawn.projected);
    on.overlay.frame = MARKED_TROPHY;
    assert_true(sp_overlay_draw(on.paint, &on.overlay).projected);
    on.overlay.readout = NULL;
    assert_false(sp_overlay_draw(on.paint, &on.overlay).numbers);
    stage_free(&on);
}

static int lit(const sp_picture *picture) {
    int count = 0;
    for (int y = 0; y < picture->height; y++)
        for (int x = 0; x < picture->width; x++)
            count += picture->pixels[(size_t)y * picture->stride + (size_t)x * 4 + 3] != 0;
    return count;
}

static bool lit_at(const sp_picture *picture, double x, double y) {
    const int column = (int)x, row = (int)y;
    uint32_t pixel;
    memcpy(&pixel, picture->pixels + (size_t)row * picture->stride + (size_t)column * 4, 4);
    const uint32_t green = pixel >> 8 & 0xFF;
    return green > 0x60; /* a hue, not the dark outline */
}

/* Along the row: a disc ends first, a diamond reaches farther, a ring is open in its middle. */
static void markers_of_taps_carries_and_guesses_differ_in_shape(void **state) {
    (void)state;
    for (int by = SP_BY_TAP; by <= SP_BY_GUESS; by++) {
        stage on = stage_new(600, 600, SP_VIEW_BACK, SP_HAND_RIGHT, 4);
        const sp_mark mark = {.at = {300.5, 300.5}, .by = (sp_mark_by)by};
        assert_true(sp_review_set_mark(on.review, 4, SP_POINT_LEFT_KNEE, &mark, NULL));
        on.overlay.line = 10.0;
        on.overlay.scale_bar = false;
        sp_overlay_draw(on.paint, &on.overlay);
        assert_true(sp_paint_finish(on.paint, NULL));
        const double r = 11.5;
        assert_int_equal(lit_at(&on.picture, 300.5, 300.5), by != SP_BY_GUESS);
        assert_int_equal(lit_at(&on.picture, 300.5 + 1.37 * r, 300.5), by == SP_BY_CARRY);
        stage_free(&on);
    }
}

static void the_selected_point_alone_has_a_ring(void **state) {
    (void)state;
    int counts[2];
    for (int selected = 0; selected < 2; selected++) {
        stage on = stage_new(600, 600, SP_VIEW_BACK, SP_HAND_LEFT, MARKED_DROP);
        on.overlay.selected = selected ? SP_POINT_LEFT_HAND : SP_POINT_LEFT_WRIST; /* not marked */
        sp_overlay_draw(on.paint, &on.overlay);
        assert_true(sp_paint_finish(on.paint, NULL));
        counts[selected] = lit(&on.picture);
        stage_free(&on);
    }
    assert_true(counts[1] > counts[0] + 20);
}

/* How many bytes of a..b differ by more than what a rounding of the edges explains. */
static size_t different_bytes(const sp_picture *a, const sp_picture *b, sp_rect where) {
    size_t different = 0;
    for (int y = (int)where.y; y < (int)(where.y + where.height); y++)
        for (int x = 4 * (int)where.x; x < 4 * (int)(where.x + where.width); x++) {
            const size_t at = (size_t)y * a->stride + (size_t)x;
            different += abs(a->pixels[at] - b->pixels[at]) > 24;
        }
    return different;
}

static void a_dense_window_shows_the_same_picture_as_a_still(void **state) {
    (void)state;
    stage still = stage_new(1620, 2160, SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
    stage window = stage_new(1620, 2160, SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
    sp_overlay_draw(still.paint, &still.overlay);
    sp_paint_free(window.paint);
    window.paint = sp_paint_new(&window.picture, 2.0, NULL);
    window.overlay.zoom = 0.5;
    window.overlay.area = (sp_rect){0, 0, 810, 1080};
    sp_overlay_draw(window.paint, &window.overlay);
    assert_true(sp_paint_finish(still.paint, NULL) && sp_paint_finish(window.paint, NULL));
    /* a letter may fall on the next subpixel: fewer than 1 in 100 000 bytes */
    const size_t different =
        different_bytes(&still.picture, &window.picture, (sp_rect){0, 0, 1620, 2160});
    if (different > 140) fail_msg("%zu of the bytes differ", different);
    assert_true(lit(&still.picture) > 20000);
    stage_free(&still);
    stage_free(&window);
}

static void a_part_of_the_picture_is_drawn_as_in_the_whole(void **state) {
    (void)state;
    stage whole = stage_new(900, 700, SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
    stage part = stage_new(900, 700, SP_VIEW_BACK, SP_HAND_RIGHT, MARKED_DROP);
    whole.overlay.line = part.overlay.line = 3.0;
    whole.overlay.numbers = part.overlay.numbers = false;
    whole.overlay.scale_bar = part.overlay.scale_bar = false;
    part.overlay.area = (sp_rect){400, 150, 120, 300};
    sp_overlay_draw(whole.paint, &whole.overlay);
    sp_overlay_draw(part.paint, &part.overlay);
    assert_true(sp_paint_finish(whole.paint, NULL) && sp_paint_finish(part.paint, NULL));
    assert_int_equal(different_bytes(&whole.picture, &part.picture, part.overlay.area), 0);
    const int shown = lit(&part.picture);
    sp_paint_fill_rect(part.paint, part.overlay.area, 0, (sp_color){0, 0, 0, 1});
    assert_true(sp_paint_finish(part.paint, NULL));
    assert_int_equal(lit(&part.picture), 120 * 300); /* nothing outside the area */
    assert_true(shown > 500);
    stage_free(&whole);
    stage_free(&part);
}

static void the_bar_is_of_a_round_length(void **state) {
    (void)state;
    assert_string_equal(sp_bar_length_for(0.73, SP_UNITS_METRIC)->name, "50 cm");
    assert_string_equal(sp_bar_length_for(1.0, SP_UNITS_METRIC)->name, "1 m");
    assert_string_equal(sp_bar_length_for(0.73, SP_UNITS_IMPERIAL)->name, "2 ft");
    assert_string_equal(sp_bar_length_for(0.1017, SP_UNITS_IMPERIAL)->name, "4 in");
    assert_null(sp_bar_length_for(0.003, SP_UNITS_METRIC));
    double last = 0.0;
    for (double longest = 0.011; longest < 200.0; longest *= 1.07) {
        for (int units = SP_UNITS_METRIC; units <= SP_UNITS_IMPERIAL; units++) {
            const sp_bar_length *bar = sp_bar_length_for(longest * 3, (sp_units)units);
            assert_true(bar->metres <= longest * 3.0001);
        }
        const sp_bar_length *bar = sp_bar_length_for(longest, SP_UNITS_METRIC);
        assert_true(bar->metres >= last);
        last = bar->metres;
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels_lie_inside_and_apart_in_every_view_and_size),
        cmocka_unit_test(no_label_leaves_a_narrow_part_of_the_picture),
        cmocka_unit_test(figures_are_high_enough_for_a_phone),
        cmocka_unit_test(the_gap_is_said_in_words_with_its_interval),
        cmocka_unit_test(a_hand_above_the_elbow_is_said_to_be_above),
        cmocka_unit_test(without_a_scale_the_gap_is_in_forearms),
        cmocka_unit_test(words_say_the_sign_only_where_the_interval_decides_it),
        cmocka_unit_test(a_frame_without_its_moment_has_no_numbers),
        cmocka_unit_test(markers_of_taps_carries_and_guesses_differ_in_shape),
        cmocka_unit_test(the_selected_point_alone_has_a_ring),
        cmocka_unit_test(a_dense_window_shows_the_same_picture_as_a_still),
        cmocka_unit_test(a_part_of_the_picture_is_drawn_as_in_the_whole),
        cmocka_unit_test(the_bar_is_of_a_round_length),
    };
    return cmocka_run_group_tests_name("draw: overlay", tests, NULL, NULL);
}
