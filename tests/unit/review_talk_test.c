/* The talk-through: what is played, what is seen, and that its file is read strictly. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "near.h"
#include "serveplumb/talk.h"

#define SHA "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"
static const sp_review_clip clip = {
    .file = "serve.mp4", .sha256 = SHA, .frames = 40, .width = 480, .height = 270, .slowdown = 1};

static void act(sp_talk *talk, sp_talk_action action) {
    sp_error error = {0};
    if (!sp_talk_add(talk, &action, &error)) fail_msg("%s", error.message);
}

static sp_point ends[] = {{10.5, 20.25}, {310.75, 190.5}};

/* 7.3 s: frame 5, ink from 1.1 s on within 0.6 s, plays from 2.5 s, stands on 30 from 4.9 s. */
static sp_talk *recorded(void) {
    sp_talk *talk = sp_talk_new(&clip, NULL);
    assert_true(sp_talk_begin_take(talk, "serve.talk-1.wav", NULL));
    act(talk, (sp_talk_action){.at_s = 0, .kind = SP_TALK_FRAME, .frame = 5});
    act(talk, (sp_talk_action){.at_s = 1.1,
                               .kind = SP_TALK_INK,
                               .took_s = 0.6,
                               .ink = {SP_INK_LINE, SP_HUE_BALL, 5, 5, ends, 2}});
    act(talk, (sp_talk_action){.at_s = 2.5, .kind = SP_TALK_PLAY, .frame = 5, .pace = 0.25});
    act(talk,
        (sp_talk_action){.at_s = 3.1, .kind = SP_TALK_VIEW, .middle = {111.5, 93.25}, .zoom = 3.5});
    act(talk,
        (sp_talk_action){
            .at_s = 3.3, .kind = SP_TALK_MEASURE, .measure = "elbow_angle", .moment = "drop"});
    act(talk, (sp_talk_action){.at_s = 4.2, .kind = SP_TALK_RUB, .mark = 0});
    act(talk, (sp_talk_action){.at_s = 4.9, .kind = SP_TALK_FRAME, .frame = 30});
    act(talk, (sp_talk_action){.at_s = 5.5, .kind = SP_TALK_OVERLAY, .shown = false});
    sp_talk_set_length(talk, 7.3);
    assert_true(sp_talk_put(talk, 0, 0, 0, NULL));
    return talk;
}

static sp_talk_state seen(const sp_talk *talk, double time_s) {
    sp_talk_state state;
    assert_true(sp_talk_state_at(talk, time_s, &state));
    return state;
}

static void what_is_seen_follows_the_actions_up_to_that_time(void **unused) {
    (void)unused;
    sp_talk *talk = recorded();
    sp_talk_state s = seen(talk, 1.25);
    assert_int_equal(s.frame, 5);
    assert_int_equal(s.mark_count, 1);
    assert_near(s.marks[0].share, 0.25, 1e-9);
    assert_near(seen(talk, 1.9).marks[0].share, 1, 0);
    s = seen(talk, 3.7);
    assert_near(s.played_s, 0.3, 1e-9);
    assert_near(s.middle.x, 111.5, 0);
    assert_near(s.zoom, 3.5, 0);
    assert_string_equal(s.measure, "elbow_angle");
    s = seen(talk, 4.9);
    assert_int_equal(s.frame, 30);
    assert_near(s.played_s, 0, 0);
    assert_int_equal(s.mark_count, 0);
    assert_true(s.overlay);
    assert_false(seen(talk, 99).overlay);
    sp_talk_free(talk);
}

static void a_cut_takes_out_its_part_and_keeps_what_was_done_in_it(void **unused) {
    (void)unused;
    sp_talk *talk = recorded();
    assert_true(sp_talk_cut(talk, 2.4, 5.2, NULL));
    assert_near(sp_talk_length_s(talk), 4.5, 1e-9);
    assert_int_equal(sp_talk_piece_count(talk), 2);
    assert_int_equal(seen(talk, 2.39).frame, 5);
    const sp_talk_state after = seen(talk, 2.41);
    assert_int_equal(after.frame, 30);
    assert_near(after.take_s, 5.21, 1e-9);
    assert_near(after.zoom, 3.5, 0);
    assert_true(sp_talk_undo(talk));
    assert_near(sp_talk_length_s(talk), 7.3, 1e-9);
    sp_error error = {0};
    assert_false(sp_talk_cut(talk, 8, 9, &error));
    assert_non_null(strstr(error.message, "7.30 s long"));
    sp_talk_free(talk);
}

static void a_part_recorded_again_stands_where_the_old_one_was(void **unused) {
    (void)unused;
    sp_talk *talk = recorded();
    assert_true(sp_talk_begin_take(talk, "", NULL));
    act(talk, (sp_talk_action){.at_s = 0, .kind = SP_TALK_FRAME, .frame = 17});
    sp_talk_set_length(talk, 1.7);
    assert_true(sp_talk_put(talk, 1, 2, 4.5, NULL));
    assert_near(sp_talk_length_s(talk), 2 + 1.7 + 2.8, 1e-9);
    assert_int_equal(sp_talk_piece_count(talk), 3);
    assert_int_equal(seen(talk, 3.69).frame, 17);
    assert_near(seen(talk, 3.71).take_s, 4.51, 1e-9);
    assert_true(sp_talk_undo(talk));
    assert_int_equal(seen(talk, 2.1).frame, 5);
    sp_talk_free(talk);
}

static void an_action_never_lies_before_the_one_above(void **unused) {
    (void)unused;
    sp_talk *talk = recorded();
    act(talk, (sp_talk_action){.at_s = 5.1, .kind = SP_TALK_FRAME, .frame = 9});
    assert_near(sp_talk_action_at(talk, 0, 8)->at_s, 5.5, 0);
    sp_talk_free(talk);
}

static char *text_of(const char *path) {
    static char text[8192];
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    text[fread(text, 1, sizeof text - 1, file)] = '\0';
    fclose(file);
    return text;
}

static void a_written_talk_through_reads_back_equal(void **unused) {
    (void)unused;
    char path[] = "/tmp/serveplumb-talk-XXXXXX";
    close(mkstemp(path));
    sp_talk *talk = recorded();
    assert_true(sp_talk_cut(talk, 2, 3, NULL));
    assert_true(sp_talk_write(talk, path, NULL));
    char *first = strdup(text_of(path));
    sp_talk *back = sp_talk_read(path, &clip, NULL);
    assert_non_null(back);
    assert_near(seen(back, 1.25).marks[0].share, 0.25, 1e-9);
    assert_true(sp_talk_write(back, path, NULL));
    assert_string_equal(first, text_of(path));
    free(first);
    sp_talk_free(back);
    sp_talk_free(talk);
    unlink(path);
}

#define TAKE(actions)                                                                              \
    "{\"format\":\"serveplumb-talk\",\"version\":1,\"clip_sha256\":\"" SHA                         \
    "\",\"takes\":[{\"length_s\":3.5,\"actions\":[" actions                                        \
    "],\"lamp\":1}],\"pieces\":[{\"take\":0,\"from_s\":0,\"to_s\":3.5}],\"mood\":\"good\"}"

static void what_is_not_known_is_kept_and_what_is_wrong_is_refused(void **unused) {
    (void)unused;
    static const struct {
        const char *text, *says;
    } faults[] = {
        {"[]", "expected an object"},
        {"{\"format\":\"serveplumb-review\"}", "format: expected \"serveplumb-talk\""},
        {TAKE("{\"at_s\":0}"), "takes[0].actions[0].do: expected this member"},
        {TAKE("{\"at_s\":0,\"do\":\"sing\"}"), "do: expected frame, play, view, ink, rub"},
        {TAKE("{\"at_s\":0,\"do\":\"frame\"}"), "frame: expected this member"},
        {TAKE("{\"at_s\":0,\"do\":\"frame\",\"frame\":40}"), "actions[0].frame: expected"},
        {TAKE("{\"at_s\":-1,\"do\":\"frame\",\"frame\":4}"), "at_s: expected a number from 0"},
        {TAKE("{\"at_s\":2,\"do\":\"frame\",\"frame\":4},{\"at_s\":1.5,\"do\":\"frame\","
              "\"frame\":4}"),
         "actions[1].at_s: expected a time not before"},
        {TAKE("{\"at_s\":0,\"do\":\"play\",\"frame\":4,\"pace\":0}"), "pace: expected"},
        {TAKE("{\"at_s\":0,\"do\":\"view\",\"middle\":[1,2],\"zoom\":0}"), "zoom: expected"},
        {TAKE("{\"at_s\":0,\"do\":\"ink\",\"took_s\":0,\"ink\":{\"kind\":\"line\"}}"),
         "actions[0].ink.from_frame: expected this member"},
        {TAKE("{\"at_s\":0,\"do\":\"overlay\",\"shown\":1}"), "shown: expected true or false"},
    };
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        sp_error error = {0};
        const char *text = faults[i].text;
        assert_null(sp_talk_parse(text, strlen(text), "x", &clip, &error));
        if (strstr(error.message, faults[i].says) == NULL)
            fail_msg("'%s' does not say '%s'", error.message, faults[i].says);
    }
    char path[] = "/tmp/serveplumb-talk-XXXXXX";
    close(mkstemp(path));
    const char *odd = TAKE("{\"at_s\":0,\"do\":\"frame\",\"frame\":4,\"why\":\"wrist\"}");
    sp_talk *talk = sp_talk_parse(odd, strlen(odd), "x", &clip, NULL);
    assert_non_null(talk);
    assert_true(sp_talk_write(talk, path, NULL));
    assert_non_null(strstr(text_of(path), "\"lamp\": 1"));
    assert_non_null(strstr(text_of(path), "\"mood\": \"good\""));
    assert_non_null(strstr(text_of(path), "\"why\": \"wrist\""));
    sp_talk_free(talk);
    unlink(path);
}

static void a_voice_elsewhere_or_another_clip_is_refused(void **unused) {
    (void)unused;
    static const char *const names[] = {"../x.wav", "/etc/passwd", ".hidden.wav", "a/b.wav"};
    sp_talk *talk = sp_talk_new(&clip, NULL);
    for (size_t i = 0; i < 4; i++) assert_false(sp_talk_begin_take(talk, names[i], NULL));
    sp_talk_free(talk);
    sp_review_clip other = clip;
    other.sha256[0] = 'f';
    sp_error error = {0};
    assert_null(sp_talk_parse(TAKE(""), strlen(TAKE("")), "x", &other, &error));
    assert_int_equal(error.code, SP_ERROR_MISMATCH);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_seen_follows_the_actions_up_to_that_time),
        cmocka_unit_test(a_cut_takes_out_its_part_and_keeps_what_was_done_in_it),
        cmocka_unit_test(a_part_recorded_again_stands_where_the_old_one_was),
        cmocka_unit_test(an_action_never_lies_before_the_one_above),
        cmocka_unit_test(a_written_talk_through_reads_back_equal),
        cmocka_unit_test(what_is_not_known_is_kept_and_what_is_wrong_is_refused),
        cmocka_unit_test(a_voice_elsewhere_or_another_clip_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
