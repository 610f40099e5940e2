/* Recording a talk-through, without a display; the microphone is SDL's, which reads a file. */
#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "near.h"
#include "unit/window_desk.h"
#include "window/talk_clock.h"

/* --- the clock ------------------------------------------------------------------------------- */

static void the_clock_is_right_though_blocks_come_late_and_clocks_drift(void **state) {
    (void)state;
    talk_clock clock = {.heard_s = 0};
    double worst = 0;
    srand(17);
    for (int block = 1; block < 60000; block++) { /* ten minutes of 10.7 ms */
        /* the card is 80 ppm fast; nothing comes sooner than 2 ms, most later */
        const double made = block * 512 / 48000.0 / 1.00008 + 1000.37;
        const double late = 0.002 + (rand() % 9 == 0 ? 0.03 : 0.001) * (rand() % 1000) / 1000.0;
        talk_clock_heard(&clock, (int64_t)block * 512, 48000, made + late);
        const double asked = made + late + 0.004;
        const double truth = (asked - 1000.37) * 1.00008;
        worst = fmax(worst, fabs(talk_clock_at(&clock, asked) - truth));
    }
    assert_true(worst < 0.005);
}

static void a_pause_is_not_counted(void **state) {
    (void)state;
    talk_clock clock = {.heard_s = 0};
    for (int i = 1; i <= 100; i++) talk_clock_heard(&clock, i * 480, 48000, i * 0.01);
    assert_near(talk_clock_at(&clock, 1.0), 1.0, 1e-9);
    talk_clock_resume(&clock);
    assert_near(talk_clock_at(&clock, 61.0), 1.0, 1e-9); /* nothing heard yet */
    talk_clock_heard(&clock, 101 * 480, 48000, 61.01);
    assert_near(talk_clock_at(&clock, 61.31), 1.31, 1e-9);
}

/* --- a desk with a microphone ---------------------------------------------------------------- */

#define CLICK_AT 24013 /* samples into what the microphone hears */

static char folder[] = "/tmp/serveplumb-talk-XXXXXX";

static int make_voice(void **state) {
    (void)state;
    if (mkdtemp(folder) == NULL) return -1;
    char path[128];
    snprintf(path, sizeof path, "%s/heard.raw", folder);
    FILE *file = fopen(path, "wb");
    for (int i = 0; i < 48000 * 30; i++) {
        const float sample = i >= CLICK_AT && i < CLICK_AT + 60 ? 0.8f : 0.0f;
        fwrite(&sample, sizeof sample, 1, file);
    }
    fclose(file);
    setenv("SDL_DISKAUDIOFILEIN", path, 1);
    snprintf(path, sizeof path, "%s/out.raw", folder);
    setenv("SDL_DISKAUDIOFILE", path, 1);
    return setenv("SDL_AUDIODRIVER", "disk", 1);
}

static int remove_voice(void **state) {
    (void)state;
    char command[160];
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return system(command);
}

static int open_talk(void **state) {
    if (open_desk(state) != 0) return -1;
    window *w = ((desk *)*state)->w;
    w->sheet.measure = -1;
    w->play.last = -1;
    w->session.stale = true;
    return session_refresh(&w->session, NULL) ? 0 : -1;
}

static int close_talk(void **state) {
    desk *d = *state;
    talking_close(d->w);
    sp_readout_free(d->w->session.readout);
    pen_free(d->w);
    char command[160];
    snprintf(command, sizeof command, "rm -f %s/serve.talk*", d->folder);
    if (system(command) != 0) return -1;
    SDL_QuitSubSystem(SDL_INIT_AUDIO);
    return close_desk(state);
}

/* Until the microphone gave so many samples. */
static void hear(window *w, int64_t count) {
    for (int i = 0; i < 20000; i++) {
        talking_update(w);
        if (w->talking.writer == NULL || sp_voice_added(w->talking.writer) >= count) return;
        SDL_Delay(1);
    }
    fail_msg("the microphone gave nothing");
}

static sp_talk *written(const desk *d, sp_error *error) {
    char path[128];
    snprintf(path, sizeof path, "%s/serve.talk.json", d->folder);
    return sp_talk_read(path, sp_review_get_clip(d->w->session.review), error);
}

static int64_t click_in(const desk *d, const char *name) {
    char path[400];
    snprintf(path, sizeof path, "%s/%s", d->folder, name);
    sp_voice *voice = sp_voice_open(path, NULL);
    assert_non_null(voice);
    float sample = 0;
    int64_t at = 0;
    for (; at < sp_voice_count(voice) && sample < 0.5f; at++)
        assert_true(sp_voice_copy(voice, at, 1, &sample, NULL));
    sp_voice_free(voice);
    return at - 1;
}

static void the_click_and_the_step_made_on_it_are_less_than_a_frame_apart(void **state) {
    desk *d = *state;
    window *w = d->w;
    act_talk_record(w, 0);
    assert_true(talking_is_on(w));
    /* as the coach's ear: no block comes early, so that the least late tells when the first began
     */
    double began_s = INFINITY;
    bool clicked = false;
    for (int i = 0; i < 20000 && !clicked; i++) {
        SDL_LockAudioDevice(w->talking.microphone.device);
        const microphone *m = &w->talking.microphone;
        if (m->heard > 0) began_s = fmin(began_s, m->last_s - (double)m->heard / 48000);
        clicked = m->heard > CLICK_AT;
        SDL_UnlockAudioDevice(w->talking.microphone.device);
        if (!clicked) talking_update(w);
        SDL_Delay(1);
    }
    const double heard_s = began_s + CLICK_AT / 48000.0;
    const double late = microphone_now_s() - heard_s; /* of this step behind the click */
    frames_go(w, 23);
    talking_update(w);
    hear(w, CLICK_AT + 9600);
    act_talk_end(w, 0);
    sp_talk *talk = written(d, NULL);
    assert_non_null(talk);
    const sp_talk_take *take = sp_talk_take_at(talk, 0);
    assert_int_equal(click_in(d, take->voice), CLICK_AT);
    const sp_talk_action *step = sp_talk_action_at(talk, 0, take->count - 1);
    assert_int_equal(step->kind, SP_TALK_FRAME);
    assert_int_equal(step->frame, 23);
    assert_near(step->at_s - late, CLICK_AT / 48000.0, 1 / 30.0);
    sp_talk_free(talk);
}

static void what_the_coach_does_is_an_action_each(void **state) {
    desk *d = *state;
    window *w = d->w;
    w->talking.without = true;
    act_talk_record(w, 0);
    frames_go(w, 7);
    talking_update(w);
    w->plain = true;
    talking_update(w);
    w->placement =
        placement_zoom(w->placement, w->layout.canvas, 480, 270, 2, (sp_point){300, 300});
    SDL_Delay(25);
    talking_update(w);
    act_ink(w, 0);
    pen_press(w, (sp_point){100.5, 90.5});
    pen_move(w, (sp_point){140.5, 120.5});
    pen_move(w, (sp_point){150.5, 190.5});
    pen_lift(w, (sp_point){150.5, 190.5});
    assert_int_equal(sp_review_ink_count(w->session.review), 0); /* it is the talk-through's */
    sp_overlay_ink inks[SP_TALK_MARKS_MAX];
    assert_int_equal(talking_inks(w, inks), 1);
    act_ink_rub(w, 0);
    pen_press(w, (sp_point){141, 121});
    pen_lift(w, (sp_point){141, 121});
    assert_int_equal(talking_inks(w, inks), 0);
    act_talk_end(w, 0);
    sp_talk *talk = written(d, NULL);
    assert_non_null(talk);
    static const sp_talk_kind kinds[] = {SP_TALK_FRAME, SP_TALK_VIEW,    SP_TALK_OVERLAY,
                                         SP_TALK_FRAME, SP_TALK_OVERLAY, SP_TALK_VIEW,
                                         SP_TALK_INK,   SP_TALK_RUB};
    assert_int_equal(sp_talk_take_at(talk, 0)->count, 8);
    for (size_t i = 0; i < 8; i++) assert_int_equal(sp_talk_action_at(talk, 0, i)->kind, kinds[i]);
    assert_near(sp_talk_action_at(talk, 0, 5)->zoom, 2, 1e-6);
    assert_string_equal(sp_talk_take_at(talk, 0)->voice, "");
    sp_talk_free(talk);
}

static void a_pause_holds_the_voice_and_the_clock(void **state) {
    desk *d = *state;
    window *w = d->w;
    act_talk_record(w, 0);
    hear(w, 9600);
    act_talk_record(w, 0);
    assert_int_equal(w->talking.now, TALKING_PAUSED);
    SDL_Delay(400);
    frames_go(w, 11);
    talking_update(w);
    act_talk_record(w, 0);
    hear(w, 24000);
    act_talk_end(w, 0);
    sp_talk *talk = written(d, NULL);
    assert_non_null(talk);
    const sp_talk_take *take = sp_talk_take_at(talk, 0);
    double at = -1;
    for (size_t i = 0; i < take->count; i++)
        if (sp_talk_action_at(talk, 0, i)->frame == 11) at = sp_talk_action_at(talk, 0, i)->at_s;
    assert_true(at >= 0.19 && at <= take->length_s); /* when it went on, not 0.4 s later */
    assert_true(at < 0.45);
    sp_talk_free(talk);
}

static void a_microphone_that_is_unplugged_leaves_what_was_recorded(void **state) {
    desk *d = *state;
    window *w = d->w;
    act_talk_record(w, 0);
    hear(w, 14400);
    frames_go(w, 31);
    talking_update(w);
    talking_gone(w, w->talking.microphone.device + 1); /* another one */
    assert_true(talking_is_on(w));
    talking_gone(w, w->talking.microphone.device);
    assert_false(talking_is_on(w));
    assert_non_null(strstr(w->message.text, "was taken away"));
    assert_non_null(strstr(w->message.text, "is kept in serve.talk.json"));
    sp_talk *talk = written(d, NULL);
    assert_non_null(talk);
    assert_true(sp_talk_length_s(talk) >= 0.3);
    const sp_talk_take *take = sp_talk_take_at(talk, 0);
    assert_int_equal(sp_talk_action_at(talk, 0, take->count - 1)->frame, 31);
    char path[400];
    snprintf(path, sizeof path, "%s/%s", d->folder, take->voice);
    sp_voice *voice = sp_voice_open(path, NULL);
    assert_near((double)sp_voice_count(voice) / 48000, take->length_s, 1e-6);
    sp_voice_free(voice);
    sp_talk_free(talk);
}

static void a_microphone_that_falls_silent_for_good_is_told(void **state) {
    window *w = ((desk *)*state)->w;
    act_talk_record(w, 0);
    hear(w, 4800);
    SDL_PauseAudioDevice(w->talking.microphone.device, 1); /* behind its back */
    SDL_Delay(2200);
    talking_update(w);
    assert_false(talking_is_on(w));
    assert_non_null(strstr(w->message.text, "gives nothing any more"));
}

static void a_full_disk_ends_the_take_and_keeps_its_start(void **state) {
    desk *d = *state;
    window *w = d->w;
    struct rlimit before, small;
    getrlimit(RLIMIT_FSIZE, &before);
    small = (struct rlimit){.rlim_cur = 20000, .rlim_max = before.rlim_max};
    signal(SIGXFSZ, SIG_IGN);
    act_talk_record(w, 0);
    setrlimit(RLIMIT_FSIZE, &small);
    for (int i = 0; i < 4000 && talking_is_on(w); i++) {
        talking_update(w);
        SDL_Delay(1);
    }
    setrlimit(RLIMIT_FSIZE, &before);
    assert_false(talking_is_on(w));
    assert_non_null(strstr(w->message.text, "what was recorded before is kept"));
    sp_talk *talk = written(d, NULL);
    assert_non_null(talk);
    assert_int_equal(sp_talk_piece_count(talk), 1);
    sp_talk_free(talk);
}

static void an_unwritable_folder_is_told_before_a_word_is_spoken(void **state) {
    desk *d = *state;
    window *w = d->w;
    if (geteuid() == 0)
        snprintf(w->session.review_path, sizeof w->session.review_path,
                 "/proc/nothing/serve.review.json");
    else
        chmod(d->folder, 0500);
    act_talk_record(w, 0);
    chmod(d->folder, 0700);
    assert_false(talking_is_on(w));
    assert_non_null(strstr(w->message.text, "cannot be written"));
}

static void a_part_is_taken_out_and_recorded_again(void **state) {
    desk *d = *state;
    window *w = d->w;
    w->talking.without = true;
    act_talk_record(w, 0);
    SDL_Delay(300);
    act_talk_end(w, 0);
    const double first = talking_length_s(w);
    w->talking.part_s = 0.1;
    w->talking.head_s = 0.2;
    act_talk_cut(w, 0);
    assert_near(talking_length_s(w), first - 0.1, 1e-9);
    act_talk_undo(w, 0);
    assert_near(talking_length_s(w), first, 1e-9);
    w->talking.part_s = 0.1;
    w->talking.head_s = 0.2;
    act_talk_again(w, 0);
    assert_true(talking_is_on(w));
    SDL_Delay(50);
    act_talk_end(w, 0);
    sp_talk *talk = written(d, NULL);
    assert_int_equal(sp_talk_piece_count(talk), 3);
    assert_int_equal(sp_talk_piece_at(talk, 1)->take, 1);
    sp_talk_free(talk);
}

static void draw_line(window *w, double x) {
    sp_point points[] = {{x, 40.5}, {x + 31.3, 77.25}};
    talking_pen_down(w);
    assert_true(talking_takes_ink(w, &(sp_ink){.kind = SP_INK_LINE,
                                               .from_frame = w->frames.number,
                                               .to_frame = w->frames.number,
                                               .points = points,
                                               .count = 2}));
}

static void undo_while_recording_takes_back_the_last_ink_of_the_take(void **state) {
    desk *d = *state;
    window *w = d->w;
    sp_overlay_ink inks[SP_TALK_MARKS_MAX];
    assert_true(sp_review_set_moment(w->session.review, "drop", 3, NULL));
    w->talking.without = true;
    act_talk_record(w, 0);
    draw_line(w, 10);
    draw_line(w, 90);
    act_undo(w, 0);
    assert_int_equal(talking_inks(w, inks), 1);
    assert_near(inks[0].ink->points[0].x, 10, 1e-9);
    draw_line(w, 170);
    act_undo(w, 0);
    act_undo(w, 0);
    assert_int_equal(talking_inks(w, inks), 0);
    act_undo(w, 0); /* not on to the review's own edits */
    assert_int_equal(sp_review_moment_frame(w->session.review, "drop"), 3);
    act_talk_end(w, 0);
    sp_talk *talk = written(d, NULL);
    int marks[3], rubs = 0;
    for (size_t i = 0; i < sp_talk_take_at(talk, 0)->count; i++) {
        const sp_talk_action *a = sp_talk_action_at(talk, 0, i);
        if (a->kind == SP_TALK_RUB && rubs < 3) marks[rubs++] = a->mark;
    }
    assert_int_equal(rubs, 3);
    assert_true(marks[0] == 1 && marks[1] == 2 && marks[2] == 0);
    sp_talk_free(talk);
    act_undo(w, 0); /* now it is the review's again */
    assert_int_equal(sp_review_moment_frame(w->session.review, "drop"), -1);
}

static void the_chosen_microphone_is_there_the_next_time(void **state) {
    desk *d = *state;
    window *w = d->w;
    char command[160];
    setenv("XDG_CONFIG_HOME", d->folder, 1);
    choices_load(w);
    act_talk_microphone(w, 0); /* the first by its name */
    char first[256];
    memcpy(first, w->talking.chosen, sizeof first);
    assert_string_not_equal(first, "");
    memset(w->talking.chosen, 0, sizeof w->talking.chosen);
    choices_load(w);
    assert_string_equal(w->talking.chosen, first);
    while (!w->talking.without) act_talk_microphone(w, 0);
    w->talking.without = false;
    choices_load(w);
    assert_true(w->talking.without);
    snprintf(command, sizeof command, "rm -r %s/serveplumb", d->folder);
    assert_int_equal(system(command), 0);
    unsetenv("XDG_CONFIG_HOME");
    choices_free(w);
}

int main(void) {
#define ON_A_DESK(test) cmocka_unit_test_setup_teardown(test, open_talk, close_talk)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_clock_is_right_though_blocks_come_late_and_clocks_drift),
        cmocka_unit_test(a_pause_is_not_counted),
        ON_A_DESK(the_click_and_the_step_made_on_it_are_less_than_a_frame_apart),
        ON_A_DESK(what_the_coach_does_is_an_action_each),
        ON_A_DESK(a_pause_holds_the_voice_and_the_clock),
        ON_A_DESK(a_microphone_that_is_unplugged_leaves_what_was_recorded),
        ON_A_DESK(a_microphone_that_falls_silent_for_good_is_told),
        ON_A_DESK(a_full_disk_ends_the_take_and_keeps_its_start),
        ON_A_DESK(an_unwritable_folder_is_told_before_a_word_is_spoken),
        ON_A_DESK(a_part_is_taken_out_and_recorded_again),
        ON_A_DESK(undo_while_recording_takes_back_the_last_ink_of_the_take),
        ON_A_DESK(the_chosen_microphone_is_there_the_next_time),
    };
    return cmocka_run_group_tests(tests, make_voice, remove_voice);
}
