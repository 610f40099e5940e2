#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "unit/review_sample.h"
#include "unit/seeded.h"

static void undo_tells_in_words_what_it_undid(void **state) {
    (void)state;
    sp_review *review = some_review();
    const sp_mark mark = {.at = {300.5, 400.5}};
    const sp_plumb_entry plumb = {
        .method = SP_PLUMB_HANG, .angle_deg = 0.5, .frame = 44, .a = {10, 10}, .b = {12, 500}};
    const sp_player player = {.name = "Ann"};
    int frame = 0;
    assert_true(sp_review_set_slowdown(review, 8, NULL));
    assert_true(sp_review_set_player(review, &player, NULL));
    assert_true(sp_review_set_view(review, SP_VIEW_BACK, SP_NET_AWAY, NULL));
    assert_true(sp_review_set_plumb(review, &plumb, NULL));
    assert_true(sp_review_set_moment(review, "drop", 168, NULL));
    assert_true(sp_review_set_mark(review, 168, SP_POINT_RIGHT_ELBOW, &mark, NULL));
    assert_true(sp_review_set_note(review, -1, "Windy.", NULL));
    assert_true(sp_review_set_note(review, 12, "Late.", NULL));
    const sp_judgement judgement = {.verdict = SP_VERDICT_MET, .frame = 31};
    const sp_finding_entry finding = {.seen = "met-1"};
    assert_true(sp_review_set_judgement(review, "pronation", &judgement, NULL));
    assert_true(sp_review_set_finding(review, "pronation", &finding, NULL));
    assert_string_equal(sp_review_undo(review, &frame), "finding 'pronation'");
    assert_int_equal(frame, -1);
    assert_string_equal(sp_review_undo(review, &frame), "judgement of 'pronation' on frame 31");
    assert_int_equal(frame, 31);
    assert_string_equal(sp_review_undo(review, &frame), "note on frame 12");
    assert_int_equal(frame, 12);
    assert_string_equal(sp_review_undo(review, &frame), "note");
    assert_int_equal(frame, -1);
    assert_string_equal(sp_review_undo(review, &frame), "right elbow on frame 168");
    assert_int_equal(frame, 168);
    assert_string_equal(sp_review_redo(review, &frame), "right elbow on frame 168");
    assert_true(sp_review_mark(review, 168, SP_POINT_RIGHT_ELBOW, NULL));
    assert_string_equal(sp_review_undo(review, NULL), "right elbow on frame 168");
    assert_string_equal(sp_review_undo(review, &frame), "drop on frame 168");
    assert_int_equal(frame, 168);
    assert_string_equal(sp_review_undo(review, &frame), "plumb on frame 44");
    assert_int_equal(frame, 44);
    assert_string_equal(sp_review_undo(review, &frame), "view");
    assert_int_equal(frame, -1);
    assert_string_equal(sp_review_undo(review, NULL), "player");
    assert_string_equal(sp_review_undo(review, NULL), "slowdown");
    assert_null(sp_review_undo(review, &frame));
    assert_int_equal(frame, -1);
    sp_review_free(review);
}

static void a_new_edit_after_undo_drops_what_could_be_redone(void **state) {
    (void)state;
    sp_review *review = some_review();
    assert_true(sp_review_set_moment(review, "drop", 100, NULL));
    assert_true(sp_review_set_moment(review, "drop", 101, NULL));
    assert_non_null(sp_review_undo(review, NULL));
    /* Neither an edit that changes nothing nor one that is refused does. */
    assert_true(sp_review_set_moment(review, "drop", 100, NULL));
    assert_false(sp_review_set_moment(review, "drop", 999, NULL));
    assert_non_null(sp_review_redo(review, NULL));
    assert_int_equal(sp_review_moment_frame(review, "drop"), 101);
    assert_non_null(sp_review_undo(review, NULL));
    assert_true(sp_review_set_moment(review, "contact", 120, NULL));
    assert_null(sp_review_redo(review, NULL));
    assert_int_equal(sp_review_moment_frame(review, "drop"), 100);
    sp_review_free(review);
}

static void edit_a_value(sp_review *review, uint64_t *seed) {
    sp_player player = *sp_review_get_player(review);
    switch (seeded_below(seed, 6)) {
    case 0: sp_review_set_slowdown(review, seeded_between(seed, -1, 9), NULL); break;
    case 1: sp_review_set_row_time(review, seeded_between(seed, -0.1, 0.3), NULL); break;
    case 2: sp_review_set_points_sd(review, seeded_between(seed, -1, 3), NULL); break;
    case 3:
        player.stature_m = seeded_between(seed, 0.4, 2.7);
        player.shoulder = (sp_shoulder)seeded_below(seed, 4);
        sp_review_set_player(review, &player, NULL);
        break;
    case 4:
        sp_review_set_view(review, (sp_view)seeded_below(seed, 4), (sp_net)seeded_below(seed, 4),
                           NULL);
        break;
    default: sp_review_set_reviewed(review, seeded_below(seed, 2) == 0 ? "" : "2027-05-30", NULL);
    }
}

static void edit_plumb_or_scale(sp_review *review, uint64_t *seed) {
    static const char *const ids[] = {"baseline", "court", "toss", "fence", "net post"};
    const char *id = ids[seeded_below(seed, 5)];
    const sp_point a = {seeded_between(seed, 0, 1080), 9}, b = {11, seeded_between(seed, 0, 1920)};
    const sp_plumb_entry plumb = {.method = (sp_plumb_method)seeded_below(seed, 5),
                                  .angle_deg = seeded_between(seed, -3, 3),
                                  .frame = seeded_below(seed, 420),
                                  .a = a,
                                  .b = b};
    const sp_scale_entry line = {
        .frame = seeded_below(seed, 420), .a = a, .b = b, .distance_m = 4.115, .sd_px = 0.75};
    switch (seeded_below(seed, 4)) {
    case 0: sp_review_set_plumb(review, &plumb, NULL); break;
    case 1: sp_review_set_scale(review, id, &line, NULL); break;
    case 2: sp_review_set_scale(review, id, NULL, NULL); break;
    default: sp_review_set_active_scale(review, id, NULL);
    }
}

static void edit_on_a_frame(sp_review *review, uint64_t *seed) {
    static const char *const names[] = {"trophy", "drop", "contact", "finish", "knee deepest"};
    static const char *const texts[] = {"", "Late.", "Hand below elbow \\ late."};
    const int frame = 160 + seeded_below(seed, 12);
    const sp_point_name name = (sp_point_name)seeded_below(seed, SP_POINT_COUNT);
    const sp_mark mark = {.at = {seeded_between(seed, -1100, 2200), 7.5},
                          .sd_px = seeded_below(seed, 3),
                          .by = (sp_mark_by)seeded_below(seed, 3)};
    switch (seeded_below(seed, 6)) {
    case 0:
        sp_review_set_moment(review, names[seeded_below(seed, 5)],
                             seeded_below(seed, 3) == 0 ? -1 : frame, NULL);
        break;
    case 1:
        sp_review_set_note(review, seeded_below(seed, 4) == 0 ? -1 : frame,
                           texts[seeded_below(seed, 3)], NULL);
        break;
    case 2: sp_review_set_mark(review, frame, name, NULL, NULL); break;
    default: sp_review_set_mark(review, frame, name, &mark, NULL);
    }
}

static void edit_what_is_said_of_a_check(sp_review *review, uint64_t *seed) {
    static const char *const checks[] = {"pronation", "our own look", "toss_height", "tempo", ""};
    char text[] = "Slowly\nup.";
    const char *check = checks[seeded_below(seed, 5)];
    const sp_judgement judgement = {.verdict = (sp_verdict)seeded_below(seed, 3),
                                    .frame = seeded_below(seed, 420) - 1,
                                    .text = seeded_below(seed, 2) == 0 ? NULL : text};
    const sp_finding_entry finding = {.order = seeded_between(seed, -0.5, 3),
                                      .text = seeded_below(seed, 2) == 0 ? NULL : text,
                                      .seen = "not_met-7c"};
    switch (seeded_below(seed, 4)) {
    case 0: sp_review_set_judgement(review, check, NULL, NULL); break;
    case 1: sp_review_set_finding(review, check, NULL, NULL); break;
    case 2: sp_review_set_judgement(review, check, &judgement, NULL); break;
    default: sp_review_set_finding(review, check, &finding, NULL);
    }
}

static void edit_anything(sp_review *review, uint64_t *seed) {
    const int kind = seeded_below(seed, 11);
    if (kind < 1) {
        edit_what_is_said_of_a_check(review, seed);
    } else if (kind < 3) {
        edit_a_value(review, seed);
    } else if (kind < 5) {
        edit_plumb_or_scale(review, seed);
    } else {
        edit_on_a_frame(review, seed);
    }
}

static void assert_text(const sp_review *review, const char *expected) {
    char *text = text_of(review);
    assert_string_equal(text, expected);
    free(text);
}

/* Every state in between is one that the reader accepts and gives back. */
static void assert_reads_back(const sp_review *review) {
    char *text = text_of(review);
    sp_review *again = parsed(text);
    assert_text(again, text);
    free(text);
    sp_review_free(again);
}

static void undoing_all_gives_the_start_and_redoing_all_the_end(void **state) {
    (void)state;
    char *start = sample_text();
    for (uint64_t round = 1; round <= 40; round++) {
        uint64_t seed = round * 7919;
        sp_review *review = parsed(start);
        for (int i = 0; i < 400; i++) edit_anything(review, &seed);
        assert_reads_back(review);
        char *end = text_of(review);
        int undone = 0, redone = 0;
        while (sp_review_undo(review, NULL) != NULL) undone++;
        assert_text(review, start);
        while (sp_review_redo(review, NULL) != NULL) redone++;
        assert_text(review, end);
        assert_int_equal(undone, redone);
        assert_in_range(undone, 150, 400);
        free(end);
        sp_review_free(review);
    }
    free(start);
}

/* Walks back and forth at random and compares with the text that each step had. */
static void every_step_of_the_history_is_what_it_was(void **state) {
    (void)state;
    char *texts[300] = {sample_text()};
    sp_review *review = parsed(texts[0]);
    uint64_t seed = 424243;
    int at = 0, top = 0;
    for (int i = 0; i < 4000; i++) {
        const int what = seeded_below(&seed, 3);
        if (what == 0 && at < 299) {
            edit_anything(review, &seed);
            char *text = text_of(review);
            if (strcmp(text, texts[at]) == 0) {
                free(text);
                continue;
            }
            while (top > at) free(texts[top--]);
            texts[top = ++at] = text;
        } else if (what == 1) {
            assert_int_equal(sp_review_undo(review, NULL) != NULL, at > 0);
            if (at > 0) at--;
        } else {
            assert_int_equal(sp_review_redo(review, NULL) != NULL, at < top);
            if (at < top) at++;
        }
        assert_text(review, texts[at]);
    }
    for (; top >= 0; top--) free(texts[top]);
    sp_review_free(review);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(undo_tells_in_words_what_it_undid),
        cmocka_unit_test(a_new_edit_after_undo_drops_what_could_be_redone),
        cmocka_unit_test(undoing_all_gives_the_start_and_redoing_all_the_end),
        cmocka_unit_test(every_step_of_the_history_is_what_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
