/* The student's history in the window: read in a thread, painted under a measure, made into a page.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "draw/painter.h"
#include "serveplumb/review_clip.h"
#include "unit/window_desk.h"
#include "window/page.h"

static char folder[] = "/tmp/serveplumb-past-XXXXXX";
static const char *const DAYS[] = {"2027-03-14", "2027-03-23", "2027-04-10"};
#define DAY_COUNT 3
#define FRAME 9

static const char *path_of(const char *name, const char *ending) {
    static char path[160];
    snprintf(path, sizeof path, "%s/%s%s", folder, name, ending);
    return path;
}

static void mark(sp_review *review, sp_point_name name, double x, double y) {
    const sp_mark at = {.at = {x, y}, .by = SP_BY_TAP, .sd_px = 0.4};
    assert_true(sp_review_set_mark(review, FRAME, name, &at, NULL));
}

/* A hand that sinks from day to day, 2 cm a pixel. */
static void write_day(const sp_review_clip *clip, size_t day) {
    const sp_scale_entry scale = {.id = "base",
                                  .method = SP_SCALE_LINE,
                                  .a = {60, 150},
                                  .b = {265.74, 150},
                                  .distance_m = 4.1148,
                                  .sd_px = 1};
    sp_review *review = sp_review_new(clip, NULL);
    assert_non_null(review);
    assert_true(sp_review_set_reviewed(review, DAYS[day], NULL));
    assert_true(sp_review_set_scale(review, "base", &scale, NULL));
    assert_true(sp_review_set_moment(review, "drop", FRAME, NULL));
    mark(review, SP_POINT_RIGHT_ELBOW, 150.2, 70.1);
    mark(review, SP_POINT_RIGHT_HAND, 140.6, 51.3 + 17.9 * (double)day);
    assert_true(sp_review_write(review, path_of(DAYS[day], ".review.json"), NULL));
    sp_review_free(review);
}

static int make_folder(void **state) {
    (void)state;
    char command[400];
    sp_review_clip described;
    assert_non_null(mkdtemp(folder));
    assert_int_equal(setenv("XDG_CACHE_HOME", folder, 1), 0);
    assert_int_equal(setenv("XDG_CONFIG_HOME", "/nonexistent", 1), 0);
    snprintf(command, sizeof command,
             "ffmpeg -nostdin -v error -f lavfi -i testsrc2=size=320x180:rate=30:duration=1 "
             "-pix_fmt yuv420p -c:v mpeg4 %s",
             path_of("serve", ".mp4"));
    assert_int_equal(system(command), 0);
    char clip_path[160];
    snprintf(clip_path, sizeof clip_path, "%s", path_of("serve", ".mp4"));
    sp_clip *clip = sp_clip_open(clip_path, NULL, NULL);
    assert_non_null(clip);
    assert_true(sp_review_clip_describe(clip, clip_path, path_of(DAYS[0], ".review.json"),
                                        &described, NULL));
    sp_clip_close(clip);
    for (size_t i = 0; i < DAY_COUNT; i++) write_day(&described, i);
    return 0;
}

static int remove_folder(void **state) {
    (void)state;
    char command[200];
    snprintf(command, sizeof command, "rm -r %s", folder);
    return system(command);
}

/* The last day is open. */
static window *open_last(void **state) {
    window *w = ((desk *)*state)->w;
    snprintf(w->session.review_path, sizeof w->session.review_path, "%s",
             path_of(DAYS[DAY_COUNT - 1], ".review.json"));
    sp_review_free(w->session.review);
    w->session.review = sp_review_read(w->session.review_path, NULL);
    assert_non_null(w->session.review);
    return w;
}

static void wait_for(window *w) {
    for (int i = 0; w->past.reading != NULL && i < 3000; i++) {
        SDL_Delay(10);
        past_update(w);
    }
    assert_null(w->past.reading);
}

static int index_of(const char *id, const char *moment) {
    for (size_t i = 0; i < sp_catalogue_count(); i++)
        if (strcmp(sp_catalogue_at(i)->id, id) == 0 &&
            strcmp(sp_catalogue_at(i)->moment, moment) == 0)
            return (int)i;
    fail();
    return -1;
}

/* All that is painted under a measure, text by text. */
static void paint(window *w, int measure, char *texts, size_t size) {
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 420, 900, NULL));
    sp_paint *painter = sp_paint_new(&picture, 1, NULL);
    page p = {.b = {.paint = painter, .theme = w->theme, .spots = &w->sheet.spots},
              .w = w,
              .x = 16,
              .width = 388,
              .y = 8,
              .row = 34,
              .line = 28};
    past_paint(&p, measure);
    assert_true(sp_paint_finish(painter, NULL));
    texts[0] = '\0';
    for (size_t i = 0; i < PAINTER_LAYOUTS; i++)
        if (painter->layouts[i].used != 0)
            strncat(strncat(texts, painter->layouts[i].text, size - strlen(texts) - 2), "\n", 2);
    sp_paint_free(painter);
    sp_picture_clear(&picture);
}

static void a_measure_is_offered_over_the_days_and_then_shown(void **state) {
    window *w = open_last(state);
    const int gap = index_of("hand_elbow_gap", "drop");
    char texts[4000];
    paint(w, gap, texts, sizeof texts);
    assert_non_null(strstr(texts, "this measure over the days"));
    act_past(w, 0);
    wait_for(w);
    assert_non_null(strstr(w->message.text, "3 reviews read out."));
    paint(w, gap, texts, sizeof texts);
    assert_non_null(strstr(texts, "2027-03-14: 38 cm ("));
    assert_non_null(strstr(texts, "2027-03-23: 2"));
    assert_non_null(strstr(texts, "2027-04-10: -34 cm ("));
    assert_non_null(strstr(texts, "2027-03-14 against 2027-04-10: "));
    paint(w, index_of("racquet_head_speed", "contact"), texts, sizeof texts);
    assert_non_null(strstr(texts, "No other review of this folder"));
    past_end(w);
    w->session.review_path[0] = '\0'; /* nothing of the desk's to remove */
}

static void forget_kept(void) {
    char command[200];
    snprintf(command, sizeof command, "rm -rf %s/serveplumb/kept", folder);
    assert_int_equal(system(command), 0);
}

/* Without time for a single new readout nothing is there at first, and is said not to be. */
static void what_is_not_read_yet_is_said_and_comes(void **state) {
    window *w = open_last(state);
    const int gap = index_of("hand_elbow_gap", "drop");
    char texts[4000];
    forget_kept();
    w->past.first_s = 1e-9;
    act_past(w, 0);
    for (int i = 0; w->past.history == NULL && i < 3000; i++) {
        SDL_Delay(1);
        past_update(w);
    }
    assert_non_null(w->past.history);
    if (w->past.reading != NULL) { /* else it was quicker than this loop */
        paint(w, gap, texts, sizeof texts);
        assert_non_null(strstr(texts, "still being read out."));
        assert_null(strstr(texts, " against "));
        assert_null(strstr(texts, "No other review"));
    }
    wait_for(w);
    paint(w, gap, texts, sizeof texts);
    assert_null(strstr(texts, "still being read out."));
    assert_non_null(strstr(texts, "2027-03-14: 38 cm ("));
    past_end(w);
    w->session.review_path[0] = '\0';
}

static sp_history *read_for(double new_for_s) {
    const sp_history_options options = {.new_for_s = new_for_s};
    sp_history *history = sp_history_read(folder, &options, NULL);
    assert_non_null(history);
    assert_int_equal(sp_history_fault_count(history), 0);
    assert_int_equal(sp_history_count(history) + sp_history_waiting(history), DAY_COUNT);
    return history;
}

static void a_short_look_gives_what_is_kept(void **state) {
    (void)state;
    forget_kept();
    sp_history *history = read_for(1e-9);
    assert_int_equal(sp_history_waiting(history), DAY_COUNT);
    sp_history_free(history);
    history = read_for(0);
    assert_int_equal(sp_history_waiting(history), 0);
    sp_history_free(history);
    history = read_for(1e-9);
    assert_int_equal(sp_history_waiting(history), 0);
    sp_history_free(history);
}

/* Opened, this done to the files of the folder, closed: so many are left to a history. */
static void assert_leaves(const char *done, size_t left) {
    const sp_preferences preferences = {.cache_mb = 64};
    const session_means means = {.preferences = &preferences};
    char command[400];
    session s = {.clip = NULL};
    forget_kept();
    assert_true(session_open(&s, path_of(DAYS[1], ".review.json"), &means, NULL));
    snprintf(command, sizeof command, "cd %s && %s", folder, done);
    assert_int_equal(system(command), 0);
    session_close(&s);
    sp_history *history = read_for(1e-9);
    assert_int_equal(sp_history_count(history), left);
    sp_history_free(history);
}

static void a_review_that_is_closed_is_left_to_the_history(void **state) {
    (void)state;
    assert_leaves("true", 1);
}

/* Changed behind the window's back. */
static void what_the_file_no_longer_says_is_not_left(void **state) {
    (void)state;
    assert_leaves("sed -i.was 's/150.2/152.2/' 2027-03-23.review.json", 0);
    assert_leaves("mv 2027-03-23.review.json.was 2027-03-23.review.json", 0);
    assert_leaves("touch -d 2001-02-03 serve.mp4", 0);
}

static void the_page_of_the_folder_is_made_beside_the_reviews(void **state) {
    window *w = open_last(state);
    findings_load(w);
    act_past(w, 1);
    wait_for(w);
    assert_non_null(strstr(w->message.text, "/history.html"));
    assert_int_equal(access(path_of("history", ".html"), R_OK), 0);
    past_end(w);
    findings_free(w);
    w->session.review_path[0] = '\0';
}

static void a_window_that_closes_gives_up_reading(void **state) {
    window *w = open_last(state);
    act_past(w, 0);
    act_past(w, 0); /* once is enough */
    past_end(w);
    assert_null(w->past.reading);
    assert_null(w->past.history);
    w->session.review_path[0] = '\0';
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_measure_is_offered_over_the_days_and_then_shown,
                                        open_desk, close_desk),
        cmocka_unit_test_setup_teardown(the_page_of_the_folder_is_made_beside_the_reviews,
                                        open_desk, close_desk),
        cmocka_unit_test_setup_teardown(what_is_not_read_yet_is_said_and_comes, open_desk,
                                        close_desk),
        cmocka_unit_test(a_short_look_gives_what_is_kept),
        cmocka_unit_test(a_review_that_is_closed_is_left_to_the_history),
        cmocka_unit_test(what_the_file_no_longer_says_is_not_left),
        cmocka_unit_test_setup_teardown(a_window_that_closes_gives_up_reading, open_desk,
                                        close_desk),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
