#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "draw/room.h"

static room_board board_of(double width, double height) {
    return (room_board){.area = {0, 0, width, height}, .em = 20.0, .gap = 4.0};
}

static bool find(room_board *board, room_wish wish, sp_size size, sp_rect *found) {
    double cost;
    if (!sp_room_find(board, &wish, size, found, &cost)) return false;
    sp_room_rect(board, *found);
    return true;
}

static void a_label_lies_in_the_direction_it_wishes_when_all_is_free(void **state) {
    (void)state;
    room_board board = board_of(911, 707);
    const room_wish wish = {{400, 300}, {0, -1}, 33, 12};
    sp_rect found;
    assert_true(find(&board, wish, (sp_size){91, 27}, &found));
    assert_true(fabs(found.x + found.width / 2 - 400) < 1.0);
    assert_true(fabs(300 - (found.y + found.height) - 33) < 1.0);
}

/* 40 labels on nearly one spot, among strokes: a seeded crowd. */
static void labels_stay_inside_the_area_and_apart(void **state) {
    (void)state;
    room_board board = board_of(1080, 1723);
    uint32_t seed = 77;
    sp_rect placed[40];
    int count = 0;
    for (int i = 0; i < 40; i++) {
        seed = seed * 1664525u + 1013904223u;
        const double x = 30 + seed % 1021, y = 20 + (seed >> 12) % 1700;
        sp_room_stroke(&board, (sp_point){540, 860}, (sp_point){x, y}, 1.0);
        const room_wish wish = {{500 + x / 10, 800 + y / 10}, {1, 0}, 25, 10};
        if (find(&board, wish, (sp_size){60 + seed % 140, 29}, &placed[count])) count++;
    }
    assert_true(count >= 20);
    for (int i = 0; i < count; i++) {
        assert_true(sp_room_inside(board.area, placed[i]));
        for (int j = 0; j < i; j++)
            assert_false(sp_room_overlap(placed[i], placed[j], board.gap - 1e-9));
    }
}

static void a_label_steps_aside_for_a_stroke(void **state) {
    (void)state;
    room_board board = board_of(911, 707);
    const room_wish wish = {{400, 300}, {1, 0}, 10, 10};
    const sp_size size = {80, 26};
    sp_room_stroke(&board, (sp_point){415, 312}, (sp_point){640, 296}, 3.0);
    sp_rect found;
    assert_true(find(&board, wish, size, &found));
    assert_true(sp_room_covered(found, (sp_point){415, 312}, (sp_point){640, 296}) == 0.0);
}

static void a_label_without_room_is_refused_not_squeezed_in(void **state) {
    (void)state;
    room_board board = board_of(120, 40);
    const room_wish wish = {{60, 20}, {0, 0}, 1, 1};
    sp_rect found;
    assert_false(find(&board, wish, (sp_size){130, 20}, &found));
    sp_room_rect(&board, (sp_rect){0, 0, 120, 40});
    assert_false(find(&board, wish, (sp_size){30, 20}, &found));
}

static void the_covered_length_is_that_inside_the_rect(void **state) {
    (void)state;
    const sp_rect rect = {10, 20, 30, 40};
    const struct {
        sp_point a, b;
        double length;
    } cases[] = {{{0, 33}, {100, 33}, 30},   {{15, 25}, {15, 31.5}, 6.5}, {{0, 0}, {100, 5}, 0},
                 {{40, 60}, {10, 20}, 50},   {{25, 0}, {25, 100}, 40},    {{12, 22}, {12, 22}, 0},
                 {{10, 20}, {-30, -20}, 0.0}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const double got = sp_room_covered(rect, cases[i].a, cases[i].b);
        if (fabs(got - cases[i].length) > 1e-9)
            fail_msg("case %zu: %.9f, expected %.9f", i, got, cases[i].length);
    }
}

static void a_corner_is_left_free_of_the_player(void **state) {
    (void)state;
    room_board board = board_of(1000, 700);
    const sp_size size = {200, 60};
    room_board empty = board;
    const sp_rect bottom_left = sp_room_corner(&empty, size, 15);
    assert_true(bottom_left.x == 15 && bottom_left.y == 700 - 15 - 60);
    sp_room_stroke(&board, (sp_point){30, 300}, (sp_point){160, 690}, 1.0);
    const sp_rect other = sp_room_corner(&board, size, 15);
    assert_true(other.x == 1000 - 15 - 200 && other.y == bottom_left.y);
    assert_true(board.rect_count == 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_label_lies_in_the_direction_it_wishes_when_all_is_free),
        cmocka_unit_test(labels_stay_inside_the_area_and_apart),
        cmocka_unit_test(a_label_steps_aside_for_a_stroke),
        cmocka_unit_test(a_label_without_room_is_refused_not_squeezed_in),
        cmocka_unit_test(the_covered_length_is_that_inside_the_rect),
        cmocka_unit_test(a_corner_is_left_free_of_the_player),
    };
    return cmocka_run_group_tests_name("draw: room for labels", tests, NULL, NULL);
}
