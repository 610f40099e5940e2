/* One wording of the drop's caution in every way out: numbers, findings, still, clip, page, several
 * stills in one picture. Whatever the shoulder's entry is, the right one is there, and no way out
 * advises to go deeper without it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "checked.h"
#include "deliver/caption.h"
#include "deliver/html.h"
#include "grey_clip.h"
#include "serveplumb/page.h"
#include "serveplumb/panels.h"
#include "serveplumb/still.h"

static const sp_shoulder SHOULDERS[] = {SP_SHOULDER_UNKNOWN, SP_SHOULDER_HEALTHY,
                                        SP_SHOULDER_PAST_TROUBLE, SP_SHOULDER_CURRENT_TROUBLE};
static const char WARM[] = "Warm up first, build strength for it over weeks";
static const char ASK[] = "please see a physiotherapist or physician first";
/* Of how to work on the two checks of the drop that a side view shows. */
static const char *const ADVICE[] = {"sinks by itself", "gather speed", "never press it down"};

static int make_clip(void **state) {
    (void)state;
    return grey_folder_make("540x960");
}

/* A shallow drop: hand 35 cm above the elbow, tip 70 cm above the hips. All of it was seen by the
 * coach, so that all may be sent. */
typedef struct {
    filmed film;
    sp_clip *clip;
    checked with;
} desk;

static desk desk_new(sp_shoulder shoulder) {
    desk d = {.film = filmed_serve((film){.view = SP_VIEW_SIDE})};
    filmed *f = &d.film;
    filmed_put(f, DROP, SP_POINT_RIGHT_HAND, -0.37, 2.06);
    filmed_put(f, DROP, SP_POINT_RACQUET_TIP, -0.43, 1.77);
    checked_shoulder(f, shoulder);
    checked first = checked_serve(f);
    for (size_t i = 0; i < sp_findings_count(first.findings); i++)
        assert_true(sp_finding_mark_seen(f->review, sp_findings_at(first.findings, i), true, NULL));
    checked_free(&first);
    d.with = checked_serve(f);
    d.clip = sp_clip_open(path_of("serve.mp4"), NULL, NULL);
    assert_non_null(d.clip);
    return d;
}

static void desk_free(desk *d) {
    checked_free(&d->with);
    sp_clip_close(d->clip);
    filmed_free(&d->film);
}

static const char *caution_of(const desk *d) {
    for (size_t i = 0; i < sp_readout_caution_count(d->with.readout); i++)
        if (sp_readout_caution_of(d->with.readout, i) == SP_CAUTION_OF_DROP)
            return sp_readout_caution_at(d->with.readout, i);
    fail_msg("no caution of the drop");
    return NULL;
}

/* --- the ways out: each gives its words, to be freed ----------------------------------------- */
static char *numbers_for_programs(const desk *d) {
    return sp_readout_detach_json(d->with.readout, d->film.review, "r", NULL);
}

static char *findings_for_programs(const desk *d) {
    return sp_findings_detach_json(d->with.findings, d->film.review, "r", NULL);
}

/* The window and `check` show these above and in the findings. */
static char *findings_for_people(const desk *d) {
    sp_text text = {0};
    for (size_t i = 0; i < sp_findings_caution_count(d->with.findings); i++)
        sp_text_format(&text, "%s\n", sp_findings_caution_at(d->with.findings, i));
    for (size_t i = 0; i < sp_findings_count(d->with.findings); i++)
        sp_text_format(&text, "%s\n", sp_findings_at(d->with.findings, i)->advice);
    return sp_text_detach(&text);
}

static char *still_of(const desk *d, const char *moment, int frame) {
    const sp_still_options options = {
        .frame = frame, .moment = moment, .findings = d->with.findings};
    return sp_still_detach_text(d->clip, d->film.review, d->with.readout, &options, NULL);
}

static char *still_of_the_moment(const desk *d) { return still_of(d, "drop", DROP); }
static char *still_of_the_frame(const desk *d) { return still_of(d, NULL, DROP); }

/* Below every frame of a clip that holds the drop. */
static char *clip_of_the_serve(const desk *d) {
    const sp_caption caption = {.review = d->film.review,
                                .readout = d->with.readout,
                                .frame = DROP - 9,
                                .of_drop = true,
                                .slower = 8};
    return sp_caption_detach_text(&caption);
}

static char *page_of(const desk *d) {
    const sp_page_part part = {.clip = d->clip,
                               .review = d->film.review,
                               .readout = d->with.readout,
                               .findings = d->with.findings};
    sp_error error = {0};
    if (!sp_page_write(&part, 1, &(sp_page_options){0}, path_of("page.html"), &error))
        fail_msg("%s", error.message);
    char *text;
    size_t length;
    assert_true(sp_file_read(path_of("page.html"), (size_t)64 << 20, &text, &length, NULL));
    return text;
}

static const struct {
    const char *name;
    char *(*words)(const desk *d);
    bool advises; /* a healthy shoulder, that is */
    bool html;
} WAYS[] = {
    {"numbers as JSON", numbers_for_programs, false, false},
    {"findings as JSON", findings_for_programs, true, false},
    {"findings in window and check", findings_for_people, true, false},
    {"still by moment", still_of_the_moment, false, false},
    {"still by frame", still_of_the_frame, false, false},
    {"clip", clip_of_the_serve, false, false},
    {"page", page_of, true, true},
};
#define WAY_COUNT (sizeof WAYS / sizeof WAYS[0])

static bool advises(const char *text) {
    for (size_t i = 0; i < sizeof ADVICE / sizeof ADVICE[0]; i++)
        if (strstr(text, ADVICE[i]) != NULL) return true;
    return false;
}

static void assert_way(size_t way, const desk *d, bool healthy) {
    char *text = WAYS[way].words(d);
    assert_non_null(text);
    sp_text caution = {0};
    if (WAYS[way].html)
        sp_html_text(&caution, caution_of(d));
    else
        sp_text_append(&caution, caution_of(d));
    if (strstr(text, sp_text_get(&caution)) == NULL)
        fail_msg("%s: the caution is not there, word by word", WAYS[way].name);
    if (strstr(text, healthy ? ASK : WARM) != NULL)
        fail_msg("%s: the wrong caution is there", WAYS[way].name);
    if (advises(text) != (healthy && WAYS[way].advises))
        fail_msg("%s: advice is %s", WAYS[way].name, advises(text) ? "there" : "missing");
    sp_text_clear(&caution);
    free(text);
}

static void every_way_out_says_the_same_caution_of_the_drop_for_each_shoulder(void **state) {
    (void)state;
    for (size_t s = 0; s < 4; s++) {
        const bool healthy = SHOULDERS[s] == SP_SHOULDER_HEALTHY;
        desk d = desk_new(SHOULDERS[s]);
        assert_holds(caution_of(&d), healthy ? WARM : ASK);
        assert_holds(caution_of(&d), "Not medical advice");
        assert_holds(caution_of(&d), "Elliott, Fleisig, Nicholls and Escamilla 2003");
        for (size_t way = 0; way < WAY_COUNT; way++) assert_way(way, &d, healthy);
        desk_free(&d);
    }
}

/* The last rows of the picture: the foot under all panels. */
static sp_picture beside(const desk *a, const desk *b) {
    const sp_panel panels[] = {{a->clip, a->film.review, a->with.readout, DROP, "drop", "first"},
                               {b->clip, b->film.review, b->with.readout, DROP, "drop", "second"}};
    sp_picture picture;
    assert_true(sp_panels_draw(panels, 2, &(sp_panels_options){0}, &picture, NULL));
    return picture;
}

static void assert_same_picture(const sp_picture *a, const sp_picture *b, bool same) {
    bool equal = a->width == b->width && a->height == b->height;
    for (int y = 0; equal && y < a->height; y++)
        equal = memcmp(a->pixels + (size_t)y * a->stride, b->pixels + (size_t)y * b->stride,
                       (size_t)a->width * 4) == 0;
    assert_int_equal(equal, same);
}

static void
of_two_players_the_one_whose_shoulder_is_not_known_to_be_healthy_is_asked(void **state) {
    (void)state;
    desk healthy = desk_new(SP_SHOULDER_HEALTHY), also = desk_new(SP_SHOULDER_HEALTHY),
         other = desk_new(SP_SHOULDER_PAST_TROUBLE), unknown = desk_new(SP_SHOULDER_UNKNOWN);
    sp_picture both = beside(&healthy, &also), first = beside(&other, &healthy),
               second = beside(&healthy, &other), none = beside(&other, &unknown);
    assert_same_picture(&first, &none, true);
    assert_same_picture(&second, &none, true);
    assert_same_picture(&both, &none, false);
    sp_picture_clear(&both);
    sp_picture_clear(&first);
    sp_picture_clear(&second);
    sp_picture_clear(&none);
    desk_free(&healthy);
    desk_free(&also);
    desk_free(&other);
    desk_free(&unknown);
}

/* --- findings below a still ------------------------------------------------------------------ */
static void a_still_says_what_was_found_at_its_moment_once_it_was_seen(void **state) {
    (void)state;
    desk d = desk_new(SP_SHOULDER_HEALTHY);
    char *drop = still_of(&d, "drop", DROP), *contact = still_of(&d, "contact", CONTACT);
    assert_holds(drop, "Hand at or below the elbow in the drop \xe2\x80\x93 to work on first");
    assert_holds(drop, "Racquet tip low in the drop \xe2\x80\x93 to work on first");
    assert_null(strstr(contact, "drop"));
    assert_holds(contact, "Ball met ahead of the front foot \xe2\x80\x93 good");
    const sp_finding *hand = checked_find(&d.with, "hand_low_in_drop");
    assert_true(sp_finding_mark_seen(d.film.review, hand, false, NULL));
    checked_free(&d.with);
    d.with = checked_serve(&d.film);
    char *unseen = still_of(&d, "drop", DROP);
    assert_null(strstr(unseen, "Hand at or below"));
    assert_holds(unseen, "Racquet tip low in the drop");
    free(drop);
    free(contact);
    free(unseen);
    desk_free(&d);
}

static void what_is_held_back_is_not_on_the_still(void **state) {
    (void)state;
    desk d = desk_new(SP_SHOULDER_UNKNOWN);
    char *drop = still_of(&d, "drop", DROP);
    assert_null(strstr(drop, "to work on first"));
    free(drop);
    desk_free(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_way_out_says_the_same_caution_of_the_drop_for_each_shoulder),
        cmocka_unit_test(of_two_players_the_one_whose_shoulder_is_not_known_to_be_healthy_is_asked),
        cmocka_unit_test(a_still_says_what_was_found_at_its_moment_once_it_was_seen),
        cmocka_unit_test(what_is_held_back_is_not_on_the_still),
    };
    return cmocka_run_group_tests(tests, make_clip, grey_folder_remove);
}
