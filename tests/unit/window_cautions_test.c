/* What the sheet of the window paints of the drop, text by text: its advice never stands without
 * its caution. The texts are those that the painter laid out. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "draw/painter.h"
#include "unit/window_desk.h"
#include "window/page.h"

static const sp_shoulder SHOULDERS[] = {SP_SHOULDER_UNKNOWN, SP_SHOULDER_HEALTHY,
                                        SP_SHOULDER_PAST_TROUBLE, SP_SHOULDER_CURRENT_TROUBLE};
static const char WARM[] = "Warm up first, build strength for it over weeks";
static const char ASK[] = "please see a physiotherapist or physician first";
static const char ADVICE[] = "sinks by itself";
#define FRAME 9

/* A hand far above the elbow in the drop. */
static void serve(window *w, sp_shoulder shoulder) {
    const sp_mark elbow = {.at = {211.3, 120.7}, .by = SP_BY_TAP};
    const sp_mark hand = {.at = {187.9, 61.2}, .by = SP_BY_TAP};
    const sp_player player = {.hand = SP_HAND_RIGHT, .stature_m = 1.83, .shoulder = shoulder};
    sp_review *review = w->session.review;
    assert_true(sp_review_set_player(review, &player, NULL));
    assert_true(sp_review_set_moment(review, "drop", FRAME, NULL));
    assert_true(sp_review_set_mark(review, FRAME, SP_POINT_RIGHT_ELBOW, &elbow, NULL));
    assert_true(sp_review_set_mark(review, FRAME, SP_POINT_RIGHT_HAND, &hand, NULL));
    const sp_readout_options few = {.draws = 100};
    sp_readout_free(w->session.readout);
    w->session.readout = sp_readout_new(review, w->session.times, &few, NULL);
    assert_non_null(w->session.readout);
    findings_load(w);
    findings_refresh(w);
    assert_non_null(w->findings.now);
}

typedef struct {
    sp_picture picture;
    sp_paint *paint;
} sheet_of;

/* As the sheet is shown when the coach has opened its checks, and one of them. */
static sheet_of paint(window *w, const char *unfolded) {
    sheet_of s;
    snprintf(w->findings.open, sizeof w->findings.open, "%s", unfolded);
    w->sheet.open[SECTION_CHECKS] = 1;
    assert_true(sp_picture_init(&s.picture, 420, 5000, NULL));
    s.paint = sp_paint_new(&s.picture, 1, NULL);
    assert_non_null(s.paint);
    page p = {.b = {.paint = s.paint, .theme = w->theme, .spots = &w->sheet.spots},
              .w = w,
              .x = 16,
              .width = 388,
              .y = 8};
    findings_paint(&p);
    assert_true(p.y < 5000);
    assert_true(sp_paint_finish(s.paint, NULL));
    return s;
}

static void sheet_free(sheet_of *s) {
    sp_paint_free(s->paint);
    sp_picture_clear(&s->picture);
}

/* The painted text that holds `part`; NULL: none. */
static const char *painted(const sheet_of *s, const char *part) {
    for (size_t i = 0; i < PAINTER_LAYOUTS; i++) {
        const painter_layout *laid = &s->paint->layouts[i];
        if (laid->used != 0 && strstr(laid->text, part) != NULL) return laid->text;
    }
    return NULL;
}

static void end(window *w) {
    findings_free(w);
    sp_readout_free(w->session.readout);
    w->session.readout = NULL;
}

static void with_each_shoulder_the_sheet_paints_the_right_caution(void **state) {
    window *w = ((desk *)*state)->w;
    static const char *const unfolded[] = {"", "hand_low_in_drop", "knee_bend"};
    for (size_t s = 0; s < 4; s++)
        for (size_t i = 0; i < 3; i++) {
            const bool healthy = SHOULDERS[s] == SP_SHOULDER_HEALTHY;
            serve(w, SHOULDERS[s]);
            sheet_of of = paint(w, unfolded[i]);
            assert_non_null(painted(&of, healthy ? WARM : ASK));
            assert_null(painted(&of, healthy ? ASK : WARM));
            assert_null(painted(&of, "trouble"));
            const char *advice = painted(&of, ADVICE);
            assert_int_equal(advice != NULL, healthy && i == 1);
            if (advice != NULL) assert_non_null(strstr(advice, WARM));
            sheet_free(&of);
            end(w);
        }
}

static void own_words_are_painted_with_the_caution(void **state) {
    window *w = ((desk *)*state)->w;
    assert_true(sp_finding_say(w->session.review, "hand_low_in_drop", "Let it hang, Zoë.", NULL));
    serve(w, SP_SHOULDER_PAST_TROUBLE);
    sheet_of of = paint(w, "hand_low_in_drop");
    const char *own = painted(&of, "Let it hang, Zoë.");
    assert_non_null(own);
    assert_non_null(strstr(own, ASK));
    sheet_free(&of);
    end(w);
}

/* Nothing is sent that the coach could not read: a page asks for the next clip in these words. */
static void the_request_for_the_next_clip_is_painted_word_by_word(void **state) {
    window *w = ((desk *)*state)->w;
    serve(w, SP_SHOULDER_UNKNOWN);
    const char *text = sp_findings_next_clip(w->findings.now, NULL);
    assert_non_null(strstr(text, "Please film one more serve"));
    sheet_of of = paint(w, "");
    assert_non_null(painted(&of, text));
    sheet_free(&of);
    end(w);
}

int main(void) {
    if (setenv("XDG_CONFIG_HOME", "/nonexistent", 1) != 0) return 1; /* nobody's own checks */
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(with_each_shoulder_the_sheet_paints_the_right_caution,
                                        open_desk, close_desk),
        cmocka_unit_test_setup_teardown(own_words_are_painted_with_the_caution, open_desk,
                                        close_desk),
        cmocka_unit_test_setup_teardown(the_request_for_the_next_clip_is_painted_word_by_word,
                                        open_desk, close_desk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
