/* What is done to the review in the window, without a display: points, scales, the court, checks.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "serveplumb/court.h"
#include "unit/court_camera.h"
#include "unit/window_desk.h"

static void tap_mark(window *w, int frame, sp_point_name point, sp_point at) {
    const sp_mark mark = {.at = at, .by = SP_BY_TAP};
    assert_true(sp_review_set_mark(w->session.review, frame, point, &mark, NULL));
}

static void a_hidden_point_is_a_guess_with_more_deviation_also_when_it_is_moved(void **state) {
    window *w = ((desk *)*state)->w;
    tap_mark(w, 0, SP_POINT_LEFT_HIP, (sp_point){211.3, 140.7});
    w->tool.selected = SP_POINT_LEFT_HIP;
    act_guess(w, 0);
    act_nudge(w, ACT_LEFT);
    sp_mark mark;
    assert_true(sp_review_mark(w->session.review, 0, SP_POINT_LEFT_HIP, &mark));
    assert_int_equal(mark.by, SP_BY_GUESS);
    assert_near(mark.sd_px, 4 * sp_review_get_points_sd(w->session.review), 1e-12);
    assert_near(mark.at.x, 210.3, 1e-9);
    act_guess(w, 0);
    assert_true(sp_review_mark(w->session.review, 0, SP_POINT_LEFT_HIP, &mark));
    assert_int_equal(mark.by, SP_BY_TAP);
    assert_near(mark.sd_px, sp_review_get_points_sd(w->session.review), 1e-12);
}

static void copied_points_are_guesses_until_they_are_moved_and_undone_as_one(void **state) {
    window *w = ((desk *)*state)->w;
    tap_mark(w, 3, SP_POINT_LEFT_TOE, (sp_point){99.1, 250.2});
    tap_mark(w, 3, SP_POINT_RIGHT_TOE, (sp_point){141.4, 251.9});
    tap_mark(w, 9, SP_POINT_RIGHT_TOE, (sp_point){142.2, 251.6});
    tap_mark(w, 9, SP_POINT_BALL, (sp_point){301.2, 31.6});
    w->frames.number = 8;
    act_copy_points(w, 0);
    sp_mark mark;
    assert_false(sp_review_mark(w->session.review, 8, SP_POINT_BALL, NULL));
    assert_true(sp_review_mark(w->session.review, 8, SP_POINT_RIGHT_TOE, &mark));
    assert_int_equal(mark.by, SP_BY_GUESS);
    assert_near(mark.at.x, 141.4, 1e-9);
    act_undo(w, 0);
    assert_false(sp_review_mark(w->session.review, 8, SP_POINT_LEFT_TOE, NULL));
    assert_false(sp_review_mark(w->session.review, 8, SP_POINT_RIGHT_TOE, NULL));
    assert_true(sp_review_mark(w->session.review, 9, SP_POINT_BALL, NULL));
    act_redo(w, 0);
    assert_true(sp_review_mark(w->session.review, 8, SP_POINT_LEFT_TOE, NULL));
    hold_move(w, SP_POINT_LEFT_TOE, (sp_point){100.7, 250.2});
    assert_true(sp_review_mark(w->session.review, 8, SP_POINT_LEFT_TOE, &mark));
    assert_int_equal(mark.by, SP_BY_TAP);
}

static void tap_two(window *w, const char *name, double metres, sp_point a, sp_point b) {
    tool_begin(w, TOOL_SCALE);
    w->tool.distance_m = metres;
    snprintf(w->tool.distance_name, sizeof w->tool.distance_name, "%s", name);
    tool_tap(w, a);
    tool_tap(w, b);
}

static void each_court_distance_is_a_scale_of_its_own_and_its_ends_can_be_dragged(void **state) {
    window *w = ((desk *)*state)->w;
    const sp_review *review = w->session.review;
    const sp_court_distance *first = sp_court_distance_at(0), *second = sp_court_distance_at(1);
    tap_two(w, first->name, first->distance_m, (sp_point){40.5, 220.5}, (sp_point){200.5, 221.5});
    tap_two(w, second->name, second->distance_m, (sp_point){60.5, 240.5}, (sp_point){380.5, 241.5});
    assert_int_equal(sp_review_scale_count(review), 2);
    assert_string_equal(sp_review_active_scale(review)->id, second->id);
    act_undo(w, 0); /* the line and its being in use are one thing to undo */
    assert_int_equal(sp_review_scale_count(review), 1);
    assert_string_equal(sp_review_active_scale(review)->id, first->id);
    act_redo(w, 0);
    assert_string_equal(sp_review_active_scale(review)->id, second->id);
    const sp_point end = {380.5, 241.5}, to = {371.5, 231.5};
    finger(w, SDL_FINGERDOWN, 3, end);
    finger(w, SDL_FINGERMOTION, 3, (sp_point){376, 236});
    finger(w, SDL_FINGERMOTION, 3, to);
    finger(w, SDL_FINGERUP, 3, to);
    assert_near(sp_review_active_scale(review)->b.x, to.x, 1e-3);
    assert_near(sp_review_active_scale(review)->a.x, 60.5, 1e-9);
    act_undo(w, 0);
    assert_near(sp_review_active_scale(review)->b.x, end.x, 1e-9);
}

static const char *const seen_landmarks[] = {"near_left_service_singles",
                                             "near_t",
                                             "near_right_service_singles",
                                             "net_left_singles",
                                             "net_right_singles",
                                             "net_centre",
                                             "far_t"};
enum { SEEN = 7 };

/* The clip of the desk, behind and above the baseline. */
static sp_camera camera_of_desk(void) {
    sp_camera camera = looking((sp_world){0.7, -9.3, 2.9}, (sp_world){0.2, 8, 0}, 0.011, 391);
    camera.centre = (sp_point){240, 135};
    return camera;
}

static int landmark_index(const char *id) {
    for (int i = 0; i < (int)sp_landmark_count(); i++)
        if (strcmp(sp_landmark_at((size_t)i)->id, id) == 0) return i;
    fail_msg("no landmark %s", id);
    return -1;
}

static void tap_landmark(window *w, const char *id, sp_point off) {
    const sp_camera camera = camera_of_desk();
    sp_point at;
    assert_true(sp_camera_project(&camera, sp_landmark_find(id)->at, &at));
    act_landmark(w, landmark_index(id));
    assert_true(tool_armed(w));
    tool_tap(w, sp_point_add(at, off));
    card_close(w);
}

static void the_court_is_in_use_as_soon_as_its_landmarks_tell(void **state) {
    window *w = ((desk *)*state)->w;
    const sp_review *review = w->session.review;
    tap_two(w, sp_court_distance_at(0)->name, sp_court_distance_at(0)->distance_m,
            (sp_point){40.5, 220.5}, (sp_point){200.5, 221.5});
    for (int i = 0; i < SEEN; i++) tap_landmark(w, seen_landmarks[i], (sp_point){0, 0});
    assert_true(w->court.fits);
    assert_true(w->court.pose.rms_px < 0.01);
    assert_near(w->court.pose.camera.focal_px, 391, 1);
    assert_int_equal(sp_review_active_scale(review)->method, SP_SCALE_COURT);
    assert_int_equal(court_entry(review)->landmark_count, SEEN);
    act_drop_landmark(w, landmark_index("far_t"));
    assert_int_equal(court_entry(review)->landmark_count, SEEN - 1);
    act_undo(w, 0);
    assert_int_equal(court_entry(review)->landmark_count, SEEN);
}

static void a_landmark_tapped_in_the_wrong_place_is_the_one_that_is_doubted(void **state) {
    window *w = ((desk *)*state)->w;
    for (int i = 0; i < SEEN; i++)
        tap_landmark(w, seen_landmarks[i], i == 3 ? (sp_point){-31.5, 12.3} : (sp_point){0, 0});
    court_refresh(w);
    assert_false(w->court.fits);
    assert_true(w->court.drawn);
    assert_int_equal(w->court.pose.suspect, 3);
    assert_true(w->court.words[0] != '\0');
    tap_landmark(w, seen_landmarks[3], (sp_point){0, 0});
    court_refresh(w);
    assert_true(w->court.fits);
}

static void look_again(window *w) {
    assert_true(session_refresh(&w->session, NULL));
    findings_refresh(w);
}

static void what_the_coach_sees_is_kept_as_a_judgement(void **state) {
    window *w = ((desk *)*state)->w;
    setenv("XDG_CONFIG_HOME", "/nowhere", 1);
    w->session.stale = true;
    findings_load(w);
    look_again(w);
    int eye = -1;
    for (size_t i = 0; i < sp_findings_count(w->findings.now) && eye < 0; i++)
        if (sp_findings_at(w->findings.now, i)->status == SP_CHECK_FOR_THE_EYE) eye = (int)i;
    assert_true(eye >= 0);
    const char *id = sp_check_get_id(sp_findings_at(w->findings.now, (size_t)eye)->check);
    act_finding(w, eye);
    act_judge(w, SP_VERDICT_NOT_MET);
    look_again(w);
    const sp_finding *finding = sp_findings_find(w->findings.now, id);
    assert_int_equal(finding->status, SP_CHECK_NOT_MET);
    assert_true(finding->by_eye);
    act_seen(w, 1);
    look_again(w);
    assert_true(sp_findings_find(w->findings.now, id)->seen);
    act_undo(w, 0);
    act_undo(w, 0);
    assert_null(sp_review_judgement_find(w->session.review, id));
    findings_free(w);
    sp_readout_free(w->session.readout);
}

#define AT_DESK(name) cmocka_unit_test_setup_teardown(name, open_desk, close_desk)

int main(void) {
    const struct CMUnitTest tests[] = {
        AT_DESK(a_hidden_point_is_a_guess_with_more_deviation_also_when_it_is_moved),
        AT_DESK(copied_points_are_guesses_until_they_are_moved_and_undone_as_one),
        AT_DESK(each_court_distance_is_a_scale_of_its_own_and_its_ends_can_be_dragged),
        AT_DESK(the_court_is_in_use_as_soon_as_its_landmarks_tell),
        AT_DESK(a_landmark_tapped_in_the_wrong_place_is_the_one_that_is_doubted),
        AT_DESK(what_the_coach_sees_is_kept_as_a_judgement),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
