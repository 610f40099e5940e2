#include <dirent.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/text.h"
#include "unit/review_sample.h"
#include "unit/seeded.h"

static void the_sample_is_written_back_byte_by_byte(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    char *written = text_of(review);
    assert_string_equal(written, text);
    free(text);
    free(written);
    sp_review_free(review);
}

/* As they stand in the sample: numbers too keep the digits that they had. */
static const char *const unknown[] = {
    "\"row_time_s\": 0.0138,\n    \"camera\": \"at the fence\"\n  }",
    "\"club\": {\"since\": 2019}\n  }",
    "\"of\": \"net band\"\n  }",
    "\"tapped_by\": \"Ana\"\n    }",
    "\"at\": [102, 1500.5], \"sure\": 0.90}]",
    "\"to_frame\": 120, \"spin\": \"none\"}",
    "\"sure\": false}",
    "{\"elbow_pad\": {\"at\": [1.0, 2e3], \"by\": \"elf\"}}",
    "\"agreement\": 0.93}",
    "\"strings\": {\"at\": [430, 790]}",
    "\"blur_px\": 4.50\n    }",
    "\"value\": 41.20, ",
    "\"nib\": 2.50\n    }",
    "\"heard\": true}",
    "\"lit\": \"low\"}",
    "\"by\": \"Ana\"}",
    "[12345678901234567890123, 1.0E+2, -0.0, 1e-400]",
    "\"empty\": [{}, [], \"\", null, true, false]",
};

static void assert_holds_unknown(const char *text) {
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        if (strstr(text, unknown[i]) == NULL) fail_msg("lost %s", unknown[i]);
}

static void change_every_owner(sp_review *review) {
    sp_player player = *sp_review_get_player(review);
    sp_plumb_entry plumb = *sp_review_get_plumb(review);
    sp_scale_entry scale = *sp_review_scale_find(review, "baseline");
    player.stature_m = 1.7205;
    plumb.b.y += 0.375;
    scale.distance_m = 5.485;
    assert_true(sp_review_set_slowdown(review, 8, NULL));
    assert_true(sp_review_set_player(review, &player, NULL));
    assert_true(sp_review_set_plumb(review, &plumb, NULL));
    assert_true(sp_review_set_scale(review, "baseline", &scale, NULL));
    assert_true(sp_review_set_moment(review, "drop", 169, NULL));
    assert_true(sp_review_set_note(review, 168, "Hand above elbow.", NULL));
    const sp_judgement judgement = {.verdict = SP_VERDICT_NOT_MET, .frame = -1};
    const sp_finding_entry finding = {.order = 0.5, .text = (char[]){"Slowly."}};
    assert_true(sp_review_set_judgement(review, "pronation", &judgement, NULL));
    assert_true(sp_review_set_finding(review, "tip_low_in_drop", &finding, NULL));
    const sp_mark mark = {.at = {498.75, 655.125}, .by = SP_BY_TAP};
    assert_true(sp_review_set_mark(review, 168, SP_POINT_LEFT_HAND, &mark, NULL));
}

static void unknown_members_survive_edits_of_their_owners(void **state) {
    (void)state;
    char *text = sample_text();
    assert_holds_unknown(text);
    sp_review *review = parsed(text);
    change_every_owner(review);
    char *written = text_of(review);
    assert_holds_unknown(written);
    assert_non_null(strstr(written, "[498.75, 655.125]"));
    assert_non_null(strstr(written, "\"pronation\", \"verdict\": \"not_met\", \"lit\""));
    assert_non_null(strstr(written, "\"order\": 0.5, \"text\": \"Slowly.\", \"by\""));
    free(text);
    free(written);
    sp_review_free(review);
}

/* What belongs to a removed item goes with it and comes back with it; what belongs to the frame
 * stays. */
static void unknown_members_of_a_removed_point_come_back_with_undo(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    assert_true(sp_review_set_mark(review, 168, SP_POINT_LEFT_HAND, NULL, NULL));
    assert_true(sp_review_set_mark(review, 168, SP_POINT_LEFT_ELBOW, NULL, NULL));
    assert_true(sp_review_set_mark(review, 168, SP_POINT_RACQUET_TIP, NULL, NULL));
    assert_int_equal(sp_review_marked_count(review), 1);
    char *without = text_of(review);
    assert_null(strstr(without, "agreement"));
    assert_non_null(strstr(
        without, "{\"frame\": 168, \"points\": {\"strings\": {\"at\": [430, 790]}}, \"blur_px\": "
                 "4.50}"));
    while (sp_review_undo(review, NULL) != NULL) {
    }
    char *again = text_of(review);
    assert_string_equal(again, text);
    free(text);
    free(without);
    free(again);
    sp_review_free(review);
}

/* Landmarks say nothing about a line, nor does the band of a net about a hanging thing. */
static void another_method_starts_without_the_unknown_members_of_the_old(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    const sp_scale_entry line = *sp_review_scale_find(review, "baseline");
    sp_plumb_entry plumb = *sp_review_get_plumb(review);
    plumb.method = SP_PLUMB_HANG;
    assert_true(sp_review_set_scale(review, "court", &line, NULL));
    assert_true(sp_review_set_plumb(review, &plumb, NULL));
    char *written = text_of(review);
    assert_null(strstr(written, "landmarks"));
    assert_null(strstr(written, "net band"));
    sp_review_free(parsed(written));
    while (sp_review_undo(review, NULL) != NULL) {
    }
    free(written);
    written = text_of(review);
    assert_string_equal(written, text);
    free(written);
    free(text);
    sp_review_free(review);
}

/* --- text ------------------------------------------------------------------------------------- */

static void texts_are_escaped_so_that_they_read_back(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    const char *note = "\"quoted\" \\ /slash/\ttab\r\nline \xf0\x9f\x8e\xbe";
    assert_true(sp_review_set_note(review, 12, note, NULL));
    char *written = text_of(review);
    assert_non_null(
        strstr(written, "\\\"quoted\\\" \\\\ /slash/\\ttab\\r\\nline \xf0\x9f\x8e\xbe"));
    sp_review *again = parsed(written);
    assert_string_equal(sp_review_note_at(again, 1)->text, note);
    free(text);
    free(written);
    sp_review_free(review);
    sp_review_free(again);
}

/* In members that we do not know, where only JSON itself limits a text. */
static void control_characters_of_unknown_texts_stay_escaped(void **state) {
    (void)state;
    char *text = replaced(sample_text(), "at the fence", "\\u0001\\u001f\\u007f\\b\\f\\/\\u00e9");
    sp_review *review = parsed(text);
    char *written = text_of(review);
    assert_non_null(strstr(written, "\"camera\": \"\\u0001\\u001f\\u007f\\b\\f/\xc3\xa9\""));
    free(text);
    free(written);
    sp_review_free(review);
}

/* What fits on a line stands on one; only a single long text makes a longer one. */
static void no_line_is_wider_than_a_hundred_characters(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    const sp_mark mark = {.at = {-1079.1234567890123, 1919.1234567890123}, .sd_px = 1.0 / 3};
    for (unsigned i = 0; i < SP_POINT_COUNT; i++)
        assert_true(sp_review_set_mark(review, 9, (sp_point_name)i, &mark, NULL));
    char *written = text_of(review);
    for (char *line = strtok(written, "\n"); line != NULL; line = strtok(NULL, "\n"))
        assert_true(strlen(line) <= 100);
    free(text);
    free(written);
    sp_review_free(review);
}

/* --- files ------------------------------------------------------------------------------------ */

static int make_folder(void **state) {
    static char folder[64];
    strcpy(folder, "/tmp/review-write-XXXXXX");
    *state = folder;
    return mkdtemp(folder) == NULL;
}

static int remove_folder(void **state) {
    DIR *folder = opendir(*state);
    for (const struct dirent *entry; (entry = readdir(folder)) != NULL;)
        if (entry->d_name[0] != '.' && unlinkat(dirfd(folder), entry->d_name, 0) != 0)
            unlinkat(dirfd(folder), entry->d_name, AT_REMOVEDIR);
    closedir(folder);
    return rmdir(*state);
}

static int files_in(const char *path) {
    DIR *folder = opendir(path);
    int count = 0;
    for (const struct dirent *entry; (entry = readdir(folder)) != NULL;)
        if (entry->d_name[0] != '.') count++;
    closedir(folder);
    return count;
}

static void a_written_file_reads_back_equal(void **state) {
    char path[128];
    snprintf(path, sizeof path, "%s/serve.review.json", (char *)*state);
    char *text = sample_text();
    sp_review *review = parsed(text);
    sp_error error = {0};
    assert_true(sp_review_write(review, path, &error));
    assert_true(sp_review_write(review, path, &error));
    char *written = file_text(path);
    assert_string_equal(written, text);
    sp_review *again = sp_review_read(path, &error);
    assert_non_null(again);
    assert_int_equal(files_in(*state), 1);
    free(text);
    free(written);
    sp_review_free(review);
    sp_review_free(again);
}

static void a_write_that_fails_says_so_and_leaves_nothing_behind(void **state) {
    char missing[128], folder[128];
    snprintf(missing, sizeof missing, "%s/none/serve.review.json", (char *)*state);
    snprintf(folder, sizeof folder, "%s/a-folder.review.json", (char *)*state);
    assert_int_equal(mkdir(folder, 0700), 0);
    char *text = sample_text();
    sp_review *review = parsed(text);
    sp_error error = {0};
    assert_false(sp_review_write(review, missing, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_false(sp_review_write(review, folder, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_int_equal(files_in(*state), 1);
    assert_int_equal(files_in(folder), 0);
    free(text);
    sp_review_free(review);
}

/* The disk is full: here, files may not grow past 100 bytes. */
static void a_full_disk_leaves_the_old_file_untouched(void **state) {
    char path[128];
    snprintf(path, sizeof path, "%s/serve.review.json", (char *)*state);
    char *text = sample_text();
    sp_review *review = parsed(text);
    assert_true(sp_review_write(review, path, NULL));
    change_every_owner(review);
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, SIG_IGN);
    const struct rlimit tight = {.rlim_cur = 100, .rlim_max = before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
    sp_error error = {0};
    const bool written = sp_review_write(review, path, &error);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_false(written);
    assert_int_equal(error.code, SP_ERROR_FILE);
    char *old = file_text(path);
    assert_string_equal(old, text);
    assert_int_equal(files_in(*state), 1);
    free(old);
    free(text);
    sp_review_free(review);
}

/* --- many ------------------------------------------------------------------------------------- */

static void mark_all(sp_review *review, uint64_t *seed) {
    /* 20,011 is prime and no factor of 12,347: every frame once, in no order. */
    for (int i = 0; i < 20011; i++) {
        const int frame = (int)((long)i * 12347 % 20011);
        for (unsigned k = 0; k < 5; k++) {
            const sp_mark mark = {.at = {seeded_between(seed, 0, 1080), seeded_between(seed, 0, 9)},
                                  .sd_px = 1.25};
            const sp_point_name name = (sp_point_name)((k * 7 + (unsigned)frame) % SP_POINT_COUNT);
            assert_true(sp_review_set_mark(review, frame, name, &mark, NULL));
        }
    }
}

static void a_hundred_thousand_points_stay_usable(void **state) {
    (void)state;
    uint64_t seed = 5;
    char *text = replaced(sample_text(), "\"frames\": 412", "\"frames\": 20011");
    sp_review *review = parsed(text);
    mark_all(review, &seed);
    assert_int_equal(sp_review_marked_count(review), 20011);
    for (int i = 0; i < 20011; i++) assert_int_equal(sp_review_marked_frame(review, (size_t)i), i);
    char *many = text_of(review);
    sp_review *again = parsed(many);
    char *same = text_of(again);
    assert_string_equal(many, same);
    while (sp_review_undo(review, NULL) != NULL) {
    }
    char *none = text_of(review);
    assert_string_equal(none, text);
    free(text);
    free(many);
    free(same);
    free(none);
    sp_review_free(review);
    sp_review_free(again);
}

/* Indented, this one is larger than a file may be; as it came, it is not. */
static void what_could_be_read_can_be_written(void **state) {
    (void)state;
    const size_t count = 800000;
    sp_text many = {0};
    sp_text_append(&many, "\"tournament\": {\"deep\": [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[0");
    for (size_t i = 1; i < count; i++) sp_text_append(&many, ",0");
    sp_text_append(&many, "]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]],");
    char *text = replaced(sample_text(), "\"tournament\": {", sp_text_get(&many));
    sp_text_clear(&many);
    sp_review *review = parsed(text);
    char *written = text_of(review);
    assert_null(strchr(written, '\n'));
    sp_review *again = parsed(written);
    char *same = text_of(again);
    assert_string_equal(written, same);
    free(text);
    free(written);
    free(same);
    sp_review_free(review);
    sp_review_free(again);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sample_is_written_back_byte_by_byte),
        cmocka_unit_test(unknown_members_survive_edits_of_their_owners),
        cmocka_unit_test(unknown_members_of_a_removed_point_come_back_with_undo),
        cmocka_unit_test(another_method_starts_without_the_unknown_members_of_the_old),
        cmocka_unit_test(texts_are_escaped_so_that_they_read_back),
        cmocka_unit_test(control_characters_of_unknown_texts_stay_escaped),
        cmocka_unit_test(no_line_is_wider_than_a_hundred_characters),
        cmocka_unit_test_setup_teardown(a_written_file_reads_back_equal, make_folder,
                                        remove_folder),
        cmocka_unit_test_setup_teardown(a_write_that_fails_says_so_and_leaves_nothing_behind,
                                        make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(a_full_disk_leaves_the_old_file_untouched, make_folder,
                                        remove_folder),
        cmocka_unit_test(a_hundred_thousand_points_stay_usable),
        cmocka_unit_test(what_could_be_read_can_be_written),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
