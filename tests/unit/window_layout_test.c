/* What a person can read in the window: no text cut, none over another, each against its ground at
 * least 4.5:1, and with fingers nothing to press that is lower or narrower than a fingertip; from
 * small windows to 4K, across and upright, at 1x to 3x. The painters are asked what they wrote. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "draw/witness.h"
#include "near.h"
#include "unit/clip_maker.h"
#include "unit/window_desk.h"
#include "window/canvas.h"
#include "window/commands.h"
#include "window/moments.h"
#include "window/steps.h"

enum { FRAMES = 240, TEXTS_MOST = 600 };
static const int MOMENT_FRAMES[MOMENT_COUNT] = {101, 147, 173, 188, 206, 229};

static const struct {
    int width, height;
    double density;
} SIZES[] = {{1024, 640, 1},  {1280, 800, 1},  {1920, 1080, 1}, {1920, 1080, 2},
             {2560, 1600, 2}, {3840, 2160, 1}, {3840, 2160, 3}, {640, 1024, 1},
             {1080, 1920, 1}, {1080, 1920, 2}, {2160, 3840, 3}};
#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* --- what was written ------------------------------------------------------------------------- */
typedef struct {
    sp_witness_text told;
    char text[160];
} written;

static struct {
    written texts[TEXTS_MOST];
    int count;
    char where[160];
} page_seen;

static void see(const sp_witness_text *text, void *context) {
    (void)context;
    assert_true(page_seen.count < TEXTS_MOST);
    written *to = &page_seen.texts[page_seen.count++];
    to->told = *text;
    snprintf(to->text, sizeof to->text, "%s", text->text);
}

/* Letters of the text lie outside of what is shown, to the left or right. */
static bool pokes_out(const sp_witness_text *t) {
    return t->ink.x < t->seen.x - 0.6 || t->ink.x + t->ink.width > t->seen.x + t->seen.width + 0.6;
}

static sp_rect shown(const sp_witness_text *t) {
    const double top = fmax(t->ink.y, t->seen.y);
    const double foot = fmin(t->ink.y + t->ink.height, t->seen.y + t->seen.height);
    return (sp_rect){t->ink.x, top, t->ink.width, fmax(0, foot - top)};
}

static double common(double a, double a_length, double b, double b_length) {
    return fmin(a + a_length, b + b_length) - fmax(a, b);
}

static bool overlap(sp_rect a, sp_rect b) {
    return a.height > 0 && b.height > 0 && common(a.x, a.width, b.x, b.width) > 0.6 &&
           common(a.y, a.height, b.y, b.height) > 0.6;
}

static void check_texts(void) {
    for (int i = 0; i < page_seen.count; i++) {
        const written *one = &page_seen.texts[i];
        if (one->text[0] == '\0') continue;
        if (one->told.cut) fail_msg("%s: '%s' is cut", page_seen.where, one->text);
        if (pokes_out(&one->told)) fail_msg("%s: '%s' is clipped", page_seen.where, one->text);
        if (one->told.size < 13) fail_msg("%s: '%s' is too small", page_seen.where, one->text);
        for (int j = 0; j < i; j++)
            if (overlap(shown(&one->told), shown(&page_seen.texts[j].told)))
                fail_msg("%s: '%s' lies over '%s'", page_seen.where, one->text,
                         page_seen.texts[j].text);
    }
}

/* --- its ground ------------------------------------------------------------------------------- */
static uint32_t pixel_at(const sp_picture *picture, int x, int y) {
    const uint32_t *row = (const void *)(picture->pixels + (size_t)y * picture->stride);
    return row[x];
}

/* The colour that most pixels about a text have: letters cover less than half of it. */
static sp_color ground_of(const sp_picture *picture, sp_rect ink, double density) {
    const sp_rect r = {ink.x - 2, ink.y - 1, ink.width + 4, ink.height + 2};
    uint32_t colors[64];
    int counts[64], known = 0, best = 0;
    for (int y = (int)(r.y * density); y < (int)((r.y + r.height) * density); y++)
        for (int x = (int)(r.x * density); x < (int)((r.x + r.width) * density); x++) {
            if (x < 0 || y < 0 || x >= picture->width || y >= picture->height) continue;
            const uint32_t color = pixel_at(picture, x, y);
            int i = 0;
            while (i < known && colors[i] != color) i++;
            if (i == known && known < 64) colors[known] = color, counts[known++] = 0;
            if (i < known) counts[i]++;
        }
    for (int i = 1; i < known; i++)
        if (counts[i] > counts[best]) best = i;
    const uint32_t c = known == 0 ? 0 : colors[best];
    return (sp_color){(c >> 16 & 255) / 255.0, (c >> 8 & 255) / 255.0, (c & 255) / 255.0, 1};
}

static void check_contrast(const pane *p) {
    for (int i = 0; i < page_seen.count; i++) {
        const written *one = &page_seen.texts[i];
        const sp_rect r = shown(&one->told);
        if (r.height < 4 || r.width < 2) continue;
        const double ratio =
            sp_color_contrast(one->told.color, ground_of(&p->picture, r, p->density));
        if (ratio < 4.5)
            fail_msg("%s: '%s' has %.2f:1 to its ground", page_seen.where, one->text, ratio);
    }
}

/* --- what is pressed -------------------------------------------------------------------------- */
static void check_targets(const spots *s) {
    for (int i = 0; i < s->count; i++) {
        const sp_rect r = s->at[i].rect;
        if (r.width < FINGERTIP - 1e-6 || r.height < FINGERTIP - 1e-6)
            fail_msg("%s: place %d is %.1f x %.1f", page_seen.where, i, r.width, r.height);
    }
}

/* --- the window ------------------------------------------------------------------------------- */
static window *open_window(void) {
    char *clip = made_path("serve.mp4");
    const made_clip made = {.codec = "libx264", .frames = FRAMES, .group = 24};
    made_write(clip, &made);
    char folder[128];
    snprintf(folder, sizeof folder, "%.*s", (int)(strrchr(clip, '/') - clip), clip);
    setenv("XDG_CONFIG_HOME", folder, 1);
    setenv("XDG_STATE_HOME", folder, 1);
    setenv("XDG_CACHE_HOME", folder, 1);
    setenv("SDL_VIDEODRIVER", "dummy", 1);
    setenv("SDL_AUDIODRIVER", "dummy", 1);
    setenv("SDL_RENDER_DRIVER", "software", 1);
    window *w = calloc(1, sizeof *w);
    sp_error error = {0};
    assert_non_null(w);
    if (!window_begin(w, &error)) fail_msg("%s", error.message);
    assert_true(window_open(w, clip));
    window_step(w, 0);
    return w;
}

static void close_window(window *w) {
    char remove[160];
    const char *clip = w->session.clip_path;
    snprintf(remove, sizeof remove, "rm -rf '%.*s'", (int)(strrchr(clip, '/') - clip), clip);
    window_end(w);
    free(w);
    assert_int_equal(system(remove), 0);
}

/* Every point of the catalogue at every moment, untidy places. */
static void fill(window *w) {
    sp_review *review = w->session.review;
    for (int m = 0; m < MOMENT_COUNT; m++) {
        const char *name = moment_kind_at(m)->name;
        assert_true(sp_review_set_moment(review, name, MOMENT_FRAMES[m], NULL));
        for (int i = 0; i < SP_POINT_COUNT; i++) {
            const sp_mark mark = {.at = {11.3 + (i * 17 + m * 5) % 90, 9.7 + (i * 29 + m * 3) % 61},
                                  .by = i == 3 ? SP_BY_GUESS : SP_BY_TAP,
                                  .sd_px = i == 3 ? 6 : 0};
            assert_true(
                sp_review_set_mark(review, MOMENT_FRAMES[m], (sp_point_name)i, &mark, NULL));
        }
    }
    sp_scale_entry scale = {.method = SP_SCALE_LINE,
                            .frame = 147,
                            .a = {7.3, 71.9},
                            .b = {103.6, 68.2},
                            .distance_m = 5.4864,
                            .distance_name = "baseline, centre mark to doubles sideline"};
    snprintf(scale.id, sizeof scale.id, "line");
    assert_true(sp_review_set_scale(review, scale.id, &scale, NULL));
    assert_true(sp_review_set_active_scale(review, scale.id, NULL));
    w->session.who = w->session.speed = true;
    w->session.stale = true;
    w->session.written = true;
    while (w->session.stale) window_step(w, 0);
}

typedef bool painter(window *w, sp_error *error);

static void paint_part(window *w, painter *paint, const char *name) {
    sp_error error = {0};
    page_seen.count = 0;
    w->stale = PART_ALL; /* not only what changed */
    snprintf(page_seen.where, sizeof page_seen.where, "%s, %d x %d at %gx, %s%s", name,
             w->layout.width, w->layout.height, w->layout.density, w->theme->id,
             w->fingers ? ", fingers" : "");
    if (!paint(w, &error)) fail_msg("%s: %s", page_seen.where, error.message);
    check_texts();
}

/* As much of it as there is, without a scroll. */
static void paint_long_sheet(window *w, const char *name) {
    const SDL_Rect before = w->layout.sheet;
    w->layout.sheet.h = (int)(4400 * w->layout.density);
    for (int i = 0; i < 2; i++) w->sheet.scroll[i] = 0;
    paint_part(w, sheet_paint, name);
    check_contrast(&w->sheet.pane);
    if (w->fingers) check_targets(&w->sheet.spots);
    w->layout.sheet = before;
}

static void paint_frame(window *w) {
    paint_part(w, bar_paint, "bar");
    check_contrast(&w->bar_pane);
    if (w->fingers) check_targets(&w->bar_spots);
    paint_part(w, timeline_paint, "strip");
    check_contrast(&w->timeline.pane);
    paint_part(w, canvas_paint, "picture");
}

static void lay(window *w, int width, int height, double density) {
    w->layout = layout_make(width, height, density,
                            window_is_open(w) ? (double)MADE_WIDTH / MADE_HEIGHT : 0);
    w->placement = placement_fit(w->layout.canvas, density, MADE_WIDTH, MADE_HEIGHT);
}

/* At every size; both themes, fingers or none. */
static void at_every_size(window *w, void (*check)(window *w)) {
    sp_witness(see, NULL);
    for (size_t i = 0; i < COUNT(SIZES); i++) {
        w->theme = i % 2 == 0 ? sp_theme_dark() : sp_theme_light();
        for (int fingers = 0; fingers < 2; fingers++) {
            w->fingers = fingers != 0;
            w->units = fingers ? SP_UNITS_IMPERIAL : SP_UNITS_METRIC;
            lay(w, SIZES[i].width, SIZES[i].height, SIZES[i].density);
            check(w);
        }
    }
    sp_witness(NULL, NULL);
}

static void check_first_step(window *w) {
    paint_frame(w);
    paint_long_sheet(w, "sheet at the first step");
}

static void check_start(window *w) {
    paint_part(w, canvas_paint, "picture at the start");
    w->choices.now.guided = false;
    paint_long_sheet(w, "sheet at the start");
    w->choices.now.guided = true;
    paint_long_sheet(w, "sheet that waits for a clip");
}

static void the_start_is_read_at_every_size(void **state) {
    (void)state;
    window *w = open_window();
    const session before = w->session;
    w->session = (session){0};
    w->choices.recent.count = 0;
    snprintf(w->first_walk.clip, sizeof w->first_walk.clip, "demo.mp4");
    at_every_size(w, check_start);
    w->session = before;
    close_window(w);
}

static void check_walk(window *w) {
    for (w->first_walk.step = 1; w->first_walk.step <= 7; w->first_walk.step++)
        paint_part(w, sheet_paint, "sheet on the first walk");
    w->first_walk.step = 0;
}

static void the_first_walk_is_read_at_every_size(void **state) {
    (void)state;
    window *w = open_window();
    w->session.who = w->session.speed = true;
    at_every_size(w, check_walk);
    close_window(w);
}

static void a_fresh_clip_is_read_at_every_size(void **state) {
    (void)state;
    window *w = open_window();
    w->session.who = false;
    at_every_size(w, check_first_step);
    close_window(w);
}

static void check_half_done(window *w) {
    paint_frame(w);
    paint_long_sheet(w, "sheet with points due");
}

static void points_that_are_due_are_read_at_every_size(void **state) {
    (void)state;
    window *w = open_window();
    w->session.who = w->session.speed = true;
    assert_true(sp_review_set_moment(w->session.review, "drop", 173, NULL));
    act_go_frame(w, 173);
    for (int i = 0; i < 3; i++) {
        const step next = step_next(&w->session, 173);
        edit_mark(w, 173, next.point, (sp_point){20.3 + 11 * i, 30.7 - 7 * i});
    }
    while (w->session.stale) window_step(w, 0);
    at_every_size(w, check_half_done);
    close_window(w);
}

static void check_done(window *w) {
    paint_frame(w);
    for (int i = 0; i < SECTION_COUNT; i++) w->sheet.open[i] = -1;
    for (int i = 0; i <= MOMENT_COUNT; i++) w->sheet.group_open[i] = 1;
    for (int i = 0; i < SECTION_COUNT; i++) {
        w->sheet.open[i] = 1;
        paint_long_sheet(w, "sheet of a finished review");
        w->sheet.open[i] = -1;
    }
}

static void every_part_of_a_finished_review_is_read_at_every_size(void **state) {
    (void)state;
    window *w = open_window();
    fill(w);
    act_go_frame(w, MOMENT_FRAMES[2]);
    w->tool.selected = SP_POINT_RIGHT_ELBOW;
    w->sheet.measure = 0;
    w->sheet.cautions = w->sheet.all_rows = true;
    act_finding(w, 0);
    at_every_size(w, check_done);
    close_window(w);
}

/* Of the bar and the sheet: what each place to press does, and its key. */
static void check_tips(const spots *s) {
    for (int i = 0; i < s->count; i++) {
        char text[160];
        tip_words(s->at[i].act, s->at[i].argument, text, sizeof text);
        const char *keys = strstr(text, ": ");
        if (keys == NULL || keys[2] == '\0')
            fail_msg("%s: place %d (argument %d) has no tip: '%s'", page_seen.where, i,
                     s->at[i].argument, text);
    }
}

static void every_place_to_press_has_a_tip_with_its_key(void **state) {
    (void)state;
    window *w = open_window();
    fill(w);
    act_go_frame(w, MOMENT_FRAMES[2]);
    w->tool.selected = SP_POINT_RIGHT_ELBOW;
    w->sheet.cautions = w->sheet.all_rows = true;
    for (int i = 0; i < SECTION_COUNT; i++) w->sheet.open[i] = 1;
    for (int i = 0; i <= MOMENT_COUNT; i++) w->sheet.group_open[i] = 1;
    sp_witness(see, NULL);
    for (size_t i = 0; i < sp_findings_count(w->findings.now); i++) {
        act_finding(w, (int)i);
        lay(w, 1280, 800, 1);
        w->layout.sheet.h = 6000;
        paint_part(w, sheet_paint, "sheet");
        assert_true(w->sheet.spots.count > 60);
        check_tips(&w->sheet.spots);
    }
    paint_part(w, bar_paint, "bar");
    check_tips(&w->bar_spots);
    for (int i = 0; i < w->bar_spots.count; i++) { /* and as it is painted */
        w->tip.act = w->bar_spots.at[i].act;
        w->tip.argument = w->bar_spots.at[i].argument;
        w->tip.from = 0;
        w->tip.over = (SDL_Rect){300, 600, 44, 44};
        paint_part(w, tip_paint, "tip");
        check_contrast(&w->tip.pane);
    }
    sp_witness(NULL, NULL);
    close_window(w);
}

static void check_cards(window *w) {
    static const struct {
        action *show;
        const char *name;
    } cards[] = {{act_keys, "keys"},       {act_preferences, "preferences"},
                 {act_scale, "distances"}, {act_plumb, "plumb"},
                 {act_court, "court"},     {act_other_point, "points"},
                 {act_stature, "stature"}, {act_slowdown, "slowdown"},
                 {act_player, "player"}};
    for (size_t i = 0; i < COUNT(cards); i++) {
        cards[i].show(w, 0);
        assert_true(card_is_up(w));
        for (double from = -1; w->card.scroll > from;) {
            from = w->card.scroll;
            paint_part(w, card_paint, cards[i].name);
            check_contrast(&w->card.pane);
            if (w->fingers) check_targets(&w->card.spots);
            card_scroll(w, w->card.height * 0.8);
        }
        card_close(w);
    }
}

static void every_card_is_read_at_every_size(void **state) {
    (void)state;
    window *w = open_window();
    w->session.who = true;
    at_every_size(w, check_cards);
    close_window(w);
}

static void check_message(window *w) {
    message_say(w, "The still is in %s", "/home/anna/clips of this summer/serve-drop.png");
    paint_part(w, message_paint, "message");
    check_contrast(&w->message.pane);
    const sp_error error = {.message = "Kept in this window only, not on disk yet: the folder "
                                       "cannot be written; make it writable and edit once more"};
    message_problem(w, &error);
    paint_part(w, message_paint, "message of a problem");
    check_contrast(&w->message.pane);
}

static void messages_are_read_at_every_size(void **state) {
    (void)state;
    window *w = open_window();
    at_every_size(w, check_message);
    close_window(w);
}

/* As many as the table of keys has, each once. */
static void the_card_of_keys_shows_every_command(void **state) {
    (void)state;
    window *w = open_window();
    act_keys(w, 0);
    lay(w, 1280, 800, 1);
    sp_error error = {0};
    assert_true(card_paint(w, &error));
    size_t shown_commands = 0;
    for (size_t i = 0; i < command_count(); i++) {
        const command *c = command_at(i);
        if (c->title == NULL) continue;
        shown_commands++;
        if (spots_find(&w->card.spots, card_command, (int)i) < 0)
            fail_msg("'%s' is not on the card", c->title);
    }
    assert_true(shown_commands > 60);
    close_window(w);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_start_is_read_at_every_size),
        cmocka_unit_test(the_first_walk_is_read_at_every_size),
        cmocka_unit_test(a_fresh_clip_is_read_at_every_size),
        cmocka_unit_test(points_that_are_due_are_read_at_every_size),
        cmocka_unit_test(every_part_of_a_finished_review_is_read_at_every_size),
        cmocka_unit_test(every_place_to_press_has_a_tip_with_its_key),
        cmocka_unit_test(every_card_is_read_at_every_size),
        cmocka_unit_test(messages_are_read_at_every_size),
        cmocka_unit_test(the_card_of_keys_shows_every_command),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
