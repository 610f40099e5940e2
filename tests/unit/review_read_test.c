#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <unistd.h>

#include <cjson/cJSON.h>
#include <cmocka.h>

#include "base/text.h"
#include "unit/review_sample.h"

/* --- the tables that the schema is tested with too -------------------------------------------- */

static cJSON *table(const char *path) {
    char *text = file_text(path);
    cJSON *rows = cJSON_Parse(text);
    assert_non_null(rows);
    free(text);
    return rows;
}

static char *changed(const cJSON *row) {
    return replaced(sample_text(), cJSON_GetObjectItem(row, "from")->valuestring,
                    cJSON_GetObjectItem(row, "to")->valuestring);
}

static void each_fault_is_refused_with_its_path(void **state) {
    (void)state;
    cJSON *rows = table("tests/review/faults.json"), *row;
    cJSON_ArrayForEach(row, rows) {
        char *text = changed(row);
        char says[400];
        snprintf(says, sizeof says, "case.review.json: %s",
                 cJSON_GetObjectItem(row, "says")->valuestring);
        sp_error error = {0};
        assert_null(sp_review_parse(text, strlen(text), "case.review.json", &error));
        if (strncmp(error.message, says, strlen(says)) != 0)
            fail_msg("got '%s', expected '%s'", error.message, says);
        assert_int_equal(error.code, SP_ERROR_FORMAT);
        assert_null(strchr(error.message, '\n'));
        free(text);
    }
    assert_true(cJSON_GetArraySize(rows) > 90);
    cJSON_Delete(rows);
}

static void each_allowed_change_reads_back_equal(void **state) {
    (void)state;
    cJSON *rows = table("tests/review/variants.json"), *row;
    cJSON_ArrayForEach(row, rows) {
        char *text = changed(row);
        sp_review *review = parsed(text);
        char *first = text_of(review);
        sp_review *again = parsed(first);
        char *second = text_of(again);
        assert_string_equal(first, second);
        free(text);
        free(first);
        free(second);
        sp_review_free(review);
        sp_review_free(again);
    }
    cJSON_Delete(rows);
}

static void the_schema_names_every_point_and_landmark(void **state) {
    (void)state;
    char *schema = file_text("assets/review.schema.json");
    for (unsigned i = 0; i < SP_POINT_COUNT; i++) {
        char line[80];
        snprintf(line, sizeof line, "\"%s\": {\"$ref\": \"#/$defs/point\"}",
                 sp_point_id((sp_point_name)i));
        assert_non_null(strstr(schema, line));
    }
    for (size_t i = 0; i < sp_landmark_count(); i++) {
        char line[80];
        snprintf(line, sizeof line, "            \"%s\"", sp_landmark_at(i)->id);
        assert_non_null(strstr(schema, line));
    }
    free(schema);
}

/* --- what reading gives ----------------------------------------------------------------------- */

static void the_sample_is_read_as_it_stands(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    const sp_review_clip *clip = sp_review_get_clip(review);
    assert_string_equal(clip->file, "clips/serve-side.mp4");
    assert_int_equal(clip->frames, 412);
    assert_true(clip->slowdown == 7.992 && clip->row_time_s == 0.0138);
    const sp_player *player = sp_review_get_player(review);
    assert_string_equal(player->name, "Zoë Lindqvist-Okafor");
    assert_int_equal(player->hand, SP_HAND_LEFT);
    assert_int_equal(player->shoulder, SP_SHOULDER_PAST_TROUBLE);
    assert_true(player->stature_m == 1.717 && player->racquet_m == 0.6858);
    assert_int_equal(sp_review_get_view(review), SP_VIEW_SIDE);
    assert_int_equal(sp_review_get_net(review), SP_NET_LEFT);
    assert_true(sp_review_get_points_sd(review) == 1.37);
    const sp_plumb_entry *plumb = sp_review_get_plumb(review);
    assert_int_equal(plumb->method, SP_PLUMB_LEVEL);
    assert_true(plumb->angle_deg == -0.7128301 && plumb->b.y == 1499.0625 && plumb->frame == 3);
    assert_string_equal(sp_review_get_reviewed(review), "2027-03-14");
    free(text);
    sp_review_free(review);
}

static void the_lists_of_the_sample_are_read_as_they_stand(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    assert_int_equal(sp_review_scale_count(review), 3);
    const sp_scale_entry *line = sp_review_scale_find(review, "baseline");
    assert_true(line->a.x == 102.125 && line->b.y == 1502.3 && line->distance_m == 4.115);
    assert_true(line->sd_px == 1.1 && line->frame == 2);
    const sp_scale_entry *court = sp_review_scale_at(review, 1);
    assert_int_equal(court->method, SP_SCALE_COURT);
    assert_int_equal(court->landmark_count, 1);
    assert_string_equal(court->landmarks[0].landmark->id, "near_left_singles_corner");
    assert_true(court->landmarks[0].at.y == 1500.5 && court->sd_px == 1.25 && court->frame == 1);
    assert_int_equal(sp_review_scale_at(review, 2)->from_frame, 60);
    assert_int_equal(sp_review_scale_at(review, 2)->to_frame, 120);
    assert_ptr_equal(sp_review_active_scale(review), sp_review_scale_at(review, 1));
    assert_null(sp_review_scale_find(review, "fence"));
    assert_int_equal(sp_review_moment_count(review), 4);
    assert_string_equal(sp_review_moment_at(review, 3)->name, "knee deepest");
    assert_int_equal(sp_review_moment_frame(review, "drop"), 168);
    assert_int_equal(sp_review_moment_frame(review, "bounce"), -1);
    /* Frame 140 holds only a point that we do not know. */
    assert_int_equal(sp_review_marked_count(review), 2);
    assert_int_equal(sp_review_marked_frame(review, 1), 168);
    sp_mark mark = {0};
    assert_true(sp_review_mark(review, 168, SP_POINT_LEFT_HAND, &mark));
    assert_true(mark.at.x == 498.2 && mark.sd_px == 2.3 && mark.by == SP_BY_CARRY);
    assert_true(sp_review_mark(review, 168, SP_POINT_RACQUET_TIP, &mark));
    assert_true(mark.sd_px == 1.37);
    assert_false(sp_review_mark(review, 140, SP_POINT_LEFT_ELBOW, NULL));
    assert_int_equal(sp_review_note_count(review), 2);
    assert_int_equal(sp_review_note_at(review, 0)->frame, -1);
    assert_string_equal(sp_review_note_at(review, 1)->text, "Hand below elbow \\ late.");
    free(text);
    sp_review_free(review);
}

static void absent_members_get_their_defaults(void **state) {
    (void)state;
    sp_review *review =
        parsed("{\"format\":\"serveplumb-review\",\"version\":1,\"clip\":{\"file\":\"a.mp4\","
               "\"sha256\":\"b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c\","
               "\"frames\":1,\"width\":64,\"height\":48}}");
    assert_true(sp_review_get_clip(review)->slowdown == 1);
    assert_true(sp_review_get_clip(review)->row_time_s == 0);
    assert_int_equal(sp_review_get_player(review)->hand, SP_HAND_RIGHT);
    assert_int_equal(sp_review_get_player(review)->shoulder, SP_SHOULDER_UNKNOWN);
    assert_int_equal(sp_review_get_view(review), SP_VIEW_SIDE);
    assert_int_equal(sp_review_get_net(review), SP_NET_RIGHT);
    assert_true(sp_review_get_points_sd(review) == 1.5);
    assert_int_equal(sp_review_get_plumb(review)->method, SP_PLUMB_IMAGE);
    assert_null(sp_review_active_scale(review));
    assert_int_equal(sp_review_marked_count(review), 0);
    assert_string_equal(sp_review_get_reviewed(review), "");
    sp_review_free(review);
}

static void moments_and_notes_are_put_in_order_of_frame(void **state) {
    (void)state;
    char *text = replaced(sample_text(), "\"frame\": 131}", "\"frame\": 400}");
    text = replaced(text, "{\"text\": \"Second", "{\"frame\": 401, \"text\": \"Second");
    sp_review *review = parsed(text);
    assert_string_equal(sp_review_moment_at(review, 0)->name, "drop");
    assert_string_equal(sp_review_moment_at(review, 3)->name, "trophy");
    assert_int_equal(sp_review_note_at(review, 0)->frame, 168);
    assert_int_equal(sp_review_note_at(review, 1)->frame, 401);
    free(text);
    sp_review_free(review);
}

/* --- faults of the text itself ---------------------------------------------------------------- */

typedef struct {
    const char *from, *to, *says;
} text_fault;

static void faults_of_the_text_name_their_line_and_column(void **state) {
    (void)state;
    static const text_fault faults[] = {
        {"\"version\": 1,", "\"version\": 01,",
         "line 3, column 15: expected a number without a leading zero"},
        {"\"version\": 1,", "\"version\": -01,", "expected a number without a leading zero"},
        {"\"version\": 1,", "\"version\": +1,", "line 3, column 14: expected a JSON value"},
        {"\"version\": 1,", "\"version\": .1,", "expected a JSON value"},
        {"\"version\": 1,", "\"version\": 1.,", "line 3, column 16: expected a digit"},
        {"\"version\": 1,", "\"version\": 1e,", "expected a digit"},
        {"\"version\": 1,", "\"version\": -,", "expected a digit"},
        {"\"version\": 1,", "\"version\": 0x1,", "expected a comma or } after a member"},
        {"\"version\": 1,", "\"version\": NaN,", "expected a JSON value"},
        {"\"version\": 1,", "\"version\": nul,", "expected a JSON value"},
        {"\"version\": 1,", "\"version\": ,", "expected a JSON value"},
        {"\"version\": 1,", "\"version\" 1,", "expected a colon after the name of a member"},
        {"\"version\": 1,", "\"version\": 1", "line 4, column 3: expected a comma or } after"},
        {"\"version\": 1,", "\"version\": 1,,", "expected a text in double quotes"},
        {"\"version\": 1,", "version: 1,", "line 3, column 3: expected a text in double quotes"},
        {"\"version\": 1,", "'version': 1,", "expected a text in double quotes"},
        {"\"version\": 1,", "/* */ \"version\": 1,", "expected a text in double quotes"},
        {"late.", "l\tate.", "expected no raw control character in a text"},
        {"late.", "l\nate.", "expected no raw control character in a text"},
        {"late.", "\\late.", "expected one of \" \\ / b f n r t u after a backslash"},
        {"late.", "\\u00e", "expected four hexadecimal digits after \\u"},
        {"late.", "\\u0000", "expected no zero character in a text"},
        {"late.", "\\ud83c late", "expected the two halves of a surrogate pair together"},
        {"late.", "\\udfbe late", "expected the two halves of a surrogate pair together"},
        {"late.", "\\ud83c\\u0041", "expected the two halves of a surrogate pair together"},
        /* Bytes that UTF-8 never holds, an overlong slash, a surrogate, beyond the last plane. */
        {"late.", "\xff", "expected valid UTF-8"},
        {"late.", "\xc0\xaf", "expected valid UTF-8"},
        {"late.", "\xe0\x80\xaf", "expected valid UTF-8"},
        {"late.", "\xed\xa0\xbc", "expected valid UTF-8"},
        {"late.", "\xf4\x90\x80\x80", "expected valid UTF-8"},
        {"late.", "\xe2\x82", "expected valid UTF-8"},
        {"\xc3\xab Lindqvist", "\xc3 Lindqvist", "line 15, column 16: expected valid UTF-8"},
        {"false]\n  }\n}\n", "false]\n  }\n}\n}", "expected nothing after the end of the document"},
        {"false]\n  }\n}\n", "false]\n  }\n}\nx", "expected nothing after the end of the document"},
        {"false]\n  }\n}\n", "false]\n  }\n", "expected a comma or } after a member"},
        {"false]\n  }\n}\n", "false", "expected a comma or ] after a value"},
        {"false]\n  }\n}\n", "false,]\n  }\n}\n", "expected a JSON value"},
        {"false]\n  }\n}\n", "\"", "expected the closing quote of a text"},
        {"{", "\xef\xbb\xbf{", "line 1, column 1: expected a JSON value"},
    };
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        char *text = replaced(sample_text(), faults[i].from, faults[i].to);
        sp_error error = {0};
        assert_null(sp_review_parse(text, strlen(text), "case.review.json", &error));
        if (strstr(error.message, faults[i].says) == NULL)
            fail_msg("%zu: got '%s', expected '%s'", i, error.message, faults[i].says);
        assert_int_equal(error.code, SP_ERROR_FORMAT);
        free(text);
    }
}

static void every_beginning_of_a_document_is_refused(void **state) {
    (void)state;
    char *text = sample_text();
    const size_t length = strlen(text) - 2;
    for (size_t i = 0; i <= length; i++) {
        /* Of its exact size, so that a sanitizer sees a step too far. */
        char *part = malloc(i + 1);
        assert_non_null(part);
        memcpy(part, text, i);
        assert_null(sp_review_parse(part, i, "case.review.json", NULL));
        free(part);
    }
    free(text);
}

static void a_zero_byte_inside_is_refused(void **state) {
    (void)state;
    char *text = sample_text();
    const size_t length = strlen(text);
    sp_error error = {0};
    assert_null(sp_review_parse(text, length + 1, "case.review.json", &error));
    assert_non_null(strstr(error.message, "expected nothing after the end of the document"));
    *strstr(text, "late.") = '\0';
    assert_null(sp_review_parse(text, length, "case.review.json", &error));
    assert_non_null(strstr(error.message, "expected no raw control character"));
    free(text);
}

static void a_document_that_is_no_object_is_refused(void **state) {
    (void)state;
    sp_error error = {0};
    assert_null(sp_review_parse("[1]", 3, "list.json", &error));
    assert_string_equal(error.message, "list.json: expected an object");
    assert_null(sp_review_parse("", 0, "empty.json", &error));
    assert_string_equal(error.message, "empty.json: line 1, column 1: expected a JSON value");
}

/* `text` with `count` of `open` ... `close` as an unknown member. */
static char *nested(int count, char open, char close) {
    sp_text inner = {0};
    sp_text_append(&inner, "\"tournament\": {\"deep\": ");
    for (int i = 0; i < count; i++) sp_text_append_bytes(&inner, &open, 1);
    for (int i = 0; i < count; i++) sp_text_append_bytes(&inner, &close, 1);
    sp_text_append(&inner, ",");
    char *text = replaced(sample_text(), "\"tournament\": {", sp_text_get(&inner));
    sp_text_clear(&inner);
    return text;
}

static void nesting_is_limited(void **state) {
    (void)state;
    char *deep = nested(62, '[', ']'), *deeper = nested(63, '[', ']'),
         *open = nested(200000, '[', ' ');
    sp_error error = {0};
    sp_review_free(parsed(deep));
    assert_null(sp_review_parse(deeper, strlen(deeper), "case.review.json", &error));
    assert_non_null(strstr(error.message, "expected no more than 64 levels of nesting"));
    assert_null(sp_review_parse(open, strlen(open), "case.review.json", &error));
    free(deep);
    free(deeper);
    free(open);
}

static void hostile_names_are_cut_and_made_harmless_in_messages(void **state) {
    (void)state;
    sp_text name = {0};
    sp_text_append(&name, "\"tournament\": {\"\\u001b[2J\\u202eevil\\n");
    for (int i = 0; i < 5000; i++) sp_text_append(&name, "\xf0\x9f\x8e\xbe");
    sp_text_append(&name, "\": 1e999, ");
    char *text = replaced(sample_text(), "\"tournament\": {", sp_text_get(&name));
    sp_error error = {0};
    assert_null(sp_review_parse(text, strlen(text), "a\nb\x1b\x7f.json", &error));
    const char *expected = "a?b??.json: tournament[\"?[2J?evil?";
    assert_memory_equal(error.message, expected, strlen(expected));
    assert_non_null(strstr(error.message, "...\"]: expected a finite number"));
    assert_true(strlen(error.message) < 200);
    free(text);
    sp_text_clear(&name);
}

static void the_end_of_a_long_path_is_shown(void **state) {
    (void)state;
    char path[2000];
    memset(path, 'p', sizeof path);
    strcpy(path + sizeof path - 20, "/serve.review.json");
    sp_error error = {0};
    assert_null(sp_review_parse("{}", 2, path, &error));
    assert_non_null(strstr(error.message, "/serve.review.json: format: expected"));
    assert_true(strlen(error.message) < 400);
}

/* --- files ------------------------------------------------------------------------------------ */

static void a_missing_file_and_a_folder_are_refused(void **state) {
    (void)state;
    sp_error error = {0};
    assert_null(sp_review_read("tests/review/none.review.json", &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_null(sp_review_read("tests/review", &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
}

static void a_file_over_the_limit_is_refused_unread(void **state) {
    (void)state;
    char path[] = "/tmp/review-limit-XXXXXX";
    const int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(ftruncate(file, (64 << 20) + 1), 0);
    close(file);
    sp_error error = {0};
    assert_null(sp_review_read(path, &error));
    assert_int_equal(error.code, SP_ERROR_LIMIT);
    unlink(path);
}

/* Six million values make a document that the reader would need too much memory for. */
static void too_many_values_are_refused(void **state) {
    (void)state;
    const size_t count = 7 << 20;
    char *text = malloc(2 * count + 2);
    assert_non_null(text);
    text[0] = '[';
    for (size_t i = 0; i < count; i++) memcpy(text + 1 + 2 * i, "0,", 2);
    sp_error error = {0};
    assert_null(sp_review_parse(text, 2 * count, "case.review.json", &error));
    assert_int_equal(error.code, SP_ERROR_LIMIT);
    free(text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_is_refused_with_its_path),
        cmocka_unit_test(each_allowed_change_reads_back_equal),
        cmocka_unit_test(the_schema_names_every_point_and_landmark),
        cmocka_unit_test(the_sample_is_read_as_it_stands),
        cmocka_unit_test(the_lists_of_the_sample_are_read_as_they_stand),
        cmocka_unit_test(absent_members_get_their_defaults),
        cmocka_unit_test(moments_and_notes_are_put_in_order_of_frame),
        cmocka_unit_test(faults_of_the_text_name_their_line_and_column),
        cmocka_unit_test(every_beginning_of_a_document_is_refused),
        cmocka_unit_test(a_zero_byte_inside_is_refused),
        cmocka_unit_test(a_document_that_is_no_object_is_refused),
        cmocka_unit_test(nesting_is_limited),
        cmocka_unit_test(hostile_names_are_cut_and_made_harmless_in_messages),
        cmocka_unit_test(the_end_of_a_long_path_is_shown),
        cmocka_unit_test(a_missing_file_and_a_folder_are_refused),
        cmocka_unit_test(a_file_over_the_limit_is_refused_unread),
        cmocka_unit_test(too_many_values_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
