/* From a folder with one clip to a finished review and its still, by touch alone, by mouse alone
 * and by keys alone: SDL's own events through the whole window, painted on SDL's screen in memory.
 * Each goes only where something was painted to be pressed. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "unit/clip_maker.h"
#include "unit/window_desk.h"
#include "window/moments.h"
#include "window/steps.h"

enum { FRAMES = 14 };
static const int MEANT_FRAMES[MOMENT_COUNT] = {2, 4, 6, 8, 11, 12};

/* Untidy places, each well apart from the next. */
static sp_point meant_place(int frame, sp_point_name point) {
    const int n = (int)point;
    return (sp_point){11.3 + (n * 17 + frame * 5) % 90, 9.7 + (n * 29 + frame * 3) % 61};
}
static const sp_point MEANT_ENDS[2] = {{7.3, 71.9}, {103.6, 68.2}};
static const sp_point MEANT_POST[2] = {{91.4, 8.3}, {94.1, 73.6}};

typedef enum { BY_TOUCH, BY_MOUSE, BY_KEYS } way;

typedef struct {
    window *w;
    way by;
    unsigned tapped[FRAMES]; /* bits of sp_point_name */
    char folder[128];
} walk;

/* --- events ----------------------------------------------------------------------------------- */
static void settle(window *w) {
    do window_step(w, 0);
    while (SDL_HasEvents(SDL_FIRSTEVENT, SDL_LASTEVENT) || w->stale != 0 || w->later != 0 ||
           (window_is_open(w) && !frames_are_settled(&w->frames)));
}

static void send(window *w, SDL_Event event) {
    assert_int_equal(SDL_PushEvent(&event), 1);
    settle(w);
}

static void touch(window *w, Uint32 type, sp_point at) {
    send(w, (SDL_Event){.tfinger = {.type = type,
                                    .fingerId = 4,
                                    .x = (float)(at.x / w->layout.width),
                                    .y = (float)(at.y / w->layout.height)}});
}

static void mouse(window *w, Uint32 type, sp_point at) {
    if (type == SDL_MOUSEMOTION)
        send(w, (SDL_Event){.motion = {.type = type, .x = (int)at.x, .y = (int)at.y}});
    else
        send(w, (SDL_Event){
                    .button = {
                        .type = type, .button = SDL_BUTTON_LEFT, .x = (int)at.x, .y = (int)at.y}});
}

static void press_at(const walk *k, sp_point at) {
    if (k->by == BY_TOUCH) {
        touch(k->w, SDL_FINGERDOWN, at);
        touch(k->w, SDL_FINGERUP, at);
    } else {
        mouse(k->w, SDL_MOUSEMOTION, at);
        mouse(k->w, SDL_MOUSEBUTTONDOWN, at);
        mouse(k->w, SDL_MOUSEBUTTONUP, at);
    }
}

static void key(const walk *k, SDL_Keycode sym, Uint16 mod) {
    const SDL_Keysym keysym = {.sym = sym, .scancode = SDL_GetScancodeFromKey(sym), .mod = mod};
    send(k->w, (SDL_Event){.key = {.type = SDL_KEYDOWN, .keysym = keysym}});
    send(k->w, (SDL_Event){.key = {.type = SDL_KEYUP, .keysym = keysym}});
}

/* --- what can be pressed ---------------------------------------------------------------------- */
static bool find(const pane *p, const spots *s, double density, action *act, int argument,
                 sp_point *at) {
    const int i = spots_find(s, act, argument);
    if (i < 0) return false;
    const sp_rect r = s->at[i].rect;
    *at = (sp_point){p->place.x + (r.x + r.width / 2) * density,
                     p->place.y + (r.y + r.height / 2) * density};
    return true;
}

static void scroll_sheet(const walk *k, sp_point from, double by) {
    if (k->by == BY_MOUSE) {
        mouse(k->w, SDL_MOUSEMOTION, from);
        send(k->w, (SDL_Event){.wheel = {.type = SDL_MOUSEWHEEL, .preciseY = (float)(-by / 48)}});
        return;
    }
    touch(k->w, SDL_FINGERDOWN, from);
    for (int i = 1; i <= 4; i++)
        touch(k->w, SDL_FINGERMOTION, (sp_point){from.x, from.y - by * i / 4});
    touch(k->w, SDL_FINGERUP, (sp_point){from.x, from.y - by});
}

/* A row of the sheet, which may have to be brought into view first. */
static void press_row(const walk *k, action *act, int argument) {
    window *w = k->w;
    const SDL_Rect area = w->layout.sheet;
    const double top = area.y + w->sheet.top[0] + 20, bottom = area.y + area.h - 20;
    for (int tries = 0; tries < 60; tries++) {
        sp_point at;
        if (!find(&w->sheet.pane, &w->sheet.spots, w->layout.density, act, argument, &at))
            fail_msg("the sheet has no such row");
        if (at.y > top && at.y < bottom) {
            press_at(k, at);
            return;
        }
        const sp_point middle = {area.x + area.w / 2.0, (top + bottom) / 2};
        scroll_sheet(k, middle, at.y > bottom ? 150 : -150);
    }
    fail_msg("the row cannot be brought into view");
}

static void press_card(const walk *k, action *act, int argument) {
    sp_point at;
    assert_true(card_is_up(k->w));
    assert_true(
        find(&k->w->card.pane, &k->w->card.spots, k->w->layout.density, act, argument, &at));
    press_at(k, at);
}

static void press_bar(const walk *k, action *act, int argument) {
    sp_point at;
    assert_true(find(&k->w->bar_pane, &k->w->bar_spots, k->w->layout.density, act, argument, &at));
    press_at(k, at);
}

static void open_section(const walk *k, section which) {
    if (!sheet_is_open(k->w, which)) press_row(k, act_section, (int)which);
}

/* --- the coach -------------------------------------------------------------------------------- */
static void next_step(const walk *k) {
    if (k->by == BY_KEYS)
        key(k, SDLK_RETURN, 0);
    else
        press_at(k, (sp_point){k->w->layout.sheet.x + 60, k->w->layout.sheet.y + 30});
}

static void choose(const walk *k, int index) {
    if (k->by != BY_KEYS) {
        press_card(k, card_choose, index);
        return;
    }
    while (k->w->card.chosen < index) key(k, SDLK_DOWN, 0);
    while (k->w->card.chosen > index) key(k, SDLK_UP, 0);
    key(k, SDLK_RETURN, 0);
}

static void go(const walk *k, int frame) {
    while (k->w->frames.number != frame) {
        const int by = frame > k->w->frames.number ? 1 : -1;
        if (k->by == BY_KEYS)
            key(k, by > 0 ? SDLK_RIGHT : SDLK_LEFT, 0);
        else
            press_bar(k, act_step, by);
    }
}

static void move_cross(const walk *k, double by, SDL_Keycode low, SDL_Keycode high) {
    const SDL_Keycode sym = by < 0 ? low : high;
    const int whole = (int)fabs(by), tenths = (int)lround((fabs(by) - whole) * 10);
    for (int i = 0; i < whole; i++) key(k, sym, KMOD_LCTRL);
    for (int i = 0; i < tenths; i++) key(k, sym, KMOD_LCTRL | KMOD_LSHIFT);
}

static void tap(const walk *k, sp_point upright) {
    if (k->by == BY_KEYS) {
        const sp_point from = k->w->pointer.cross;
        move_cross(k, upright.x - from.x, SDLK_LEFT, SDLK_RIGHT);
        move_cross(k, upright.y - from.y, SDLK_UP, SDLK_DOWN);
        key(k, SDLK_RETURN, 0);
    } else {
        press_at(k, placement_to_window(&k->w->placement, upright));
    }
}

static void name(const walk *k, int moment) {
    go(k, MEANT_FRAMES[moment]);
    if (k->by == BY_KEYS) {
        key(k, SDLK_1 + moment, 0);
    } else {
        open_section(k, SECTION_MOMENTS);
        press_row(k, act_name_moment, moment);
    }
}

static void set_scale(const walk *k) {
    next_step(k);
    choose(k, 1);
    tap(k, MEANT_ENDS[0]);
    tap(k, MEANT_ENDS[1]);
}

/* As the sheet says, until it has nothing more to ask. */
static void follow(walk *k) {
    window *w = k->w;
    for (int i = 0; i < 200; i++) {
        const step next = step_next(&w->session, w->frames.number);
        switch (next.kind) {
        case STEP_OPEN:
            choose(k, 0); /* the list of the folder */
            assert_true(window_is_open(w));
            break;
        case STEP_RELINK:
        case STEP_WHO:
        case STEP_SPEED:
        case STEP_GO: next_step(k); break;
        case STEP_MOMENT: name(k, next.moment); break;
        case STEP_POINT:
            k->tapped[w->frames.number] |= 1u << next.point;
            tap(k, meant_place(w->frames.number, next.point));
            break;
        case STEP_SCALE: set_scale(k); break;
        case STEP_READ: return;
        }
    }
    fail_msg("the sheet never comes to an end");
}

static void set_plumb(const walk *k) {
    if (k->by == BY_KEYS) {
        key(k, SDLK_p, 0);
    } else {
        open_section(k, SECTION_SCALE);
        press_row(k, act_plumb, 0);
    }
    choose(k, 1); /* something upright */
    tap(k, MEANT_POST[0]);
    tap(k, MEANT_POST[1]);
}

static void keep_still(const walk *k) {
    go(k, MEANT_FRAMES[2]);
    if (k->by == BY_KEYS) {
        key(k, SDLK_s, 0);
    } else {
        open_section(k, SECTION_DELIVER);
        press_row(k, act_still, 0);
    }
}

/* --- what came of it -------------------------------------------------------------------------- */

/* A finger's place is a float, a mouse names a whole pixel of the screen, keys go by tenths. */
static void check_review(const walk *k, double zoom) {
    char path[192];
    snprintf(path, sizeof path, "%s/serve.review.json", k->folder);
    sp_error error = {0};
    sp_review *review = sp_review_read(path, &error);
    if (review == NULL) fail_msg("%s", error.message);
    const double tolerance = k->by == BY_TOUCH ? 1e-3 : k->by == BY_MOUSE ? 0.5 / zoom : 0.051;
    int points = 0;
    for (int m = 0; m < 4; m++) {
        assert_int_equal(sp_review_moment_frame(review, moment_kind_at(m)->name), MEANT_FRAMES[m]);
        for (int i = 0; i < SP_POINT_COUNT; i++) {
            const sp_point_name point = (sp_point_name)i;
            const sp_point meant = meant_place(MEANT_FRAMES[m], point);
            sp_mark mark;
            const bool asked = (k->tapped[MEANT_FRAMES[m]] >> i & 1) != 0;
            assert_int_equal(sp_review_mark(review, MEANT_FRAMES[m], point, &mark), asked);
            if (!asked) continue;
            points++;
            assert_near(mark.at.x, meant.x, tolerance);
            assert_near(mark.at.y, meant.y, tolerance);
        }
    }
    assert_true(points > 20);
    const sp_scale_entry *scale = sp_review_active_scale(review);
    assert_non_null(scale);
    assert_near(scale->a.x, MEANT_ENDS[0].x, tolerance);
    assert_near(scale->b.y, MEANT_ENDS[1].y, tolerance);
    const sp_plumb_entry *plumb = sp_review_get_plumb(review);
    assert_int_equal(plumb->method, SP_PLUMB_HANG);
    assert_near(plumb->a.x, MEANT_POST[0].x, tolerance);
    assert_near(plumb->b.y, MEANT_POST[1].y, tolerance);
    sp_review_free(review);
    snprintf(path, sizeof path, "%s/serve-drop.png", k->folder);
    assert_int_equal(access(path, F_OK), 0);
}

/* From the side the checks of the drop look at the hand against the elbow, and at the tip against
 * the hips; nothing else is to be asked for there. */
static void check_asked(const walk *k) {
    assert_int_equal(k->tapped[MEANT_FRAMES[2]],
                     1u << SP_POINT_RIGHT_ELBOW | 1u << SP_POINT_RIGHT_HAND |
                         1u << SP_POINT_RACQUET_TIP | 1u << SP_POINT_RIGHT_HIP |
                         1u << SP_POINT_LEFT_HIP);
}

static void begin(walk *k, way by) {
    char *clip = made_path("serve.mp4");
    const made_clip made = {.codec = "libx264", .frames = FRAMES, .group = 6};
    made_write(clip, &made);
    *k = (walk){.by = by, .w = calloc(1, sizeof *k->w)};
    snprintf(k->folder, sizeof k->folder, "%.*s", (int)(strrchr(clip, '/') - clip), clip);
    setenv("XDG_CONFIG_HOME", k->folder, 1);
    setenv("XDG_STATE_HOME", k->folder, 1);
    setenv("XDG_CACHE_HOME", k->folder, 1);
    setenv("SDL_VIDEODRIVER", "dummy", 1);
    setenv("SDL_AUDIODRIVER", "dummy", 1);
    setenv("SDL_RENDER_DRIVER", "software", 1);
    sp_error error = {0};
    assert_non_null(k->w);
    if (!window_begin(k->w, &error)) fail_msg("%s", error.message);
}

static void remove_all(const walk *k) {
    char command[192];
    snprintf(command, sizeof command, "rm -rf '%s'", k->folder);
    assert_int_equal(system(command), 0);
}

static void walk_through(way by) {
    walk k;
    begin(&k, by);
    assert_true(window_open(k.w, k.folder));
    settle(k.w);
    follow(&k);
    set_plumb(&k);
    keep_still(&k);
    const double zoom = k.w->placement.zoom;
    window_end(k.w);
    free(k.w);
    check_asked(&k);
    check_review(&k, zoom);
    remove_all(&k);
}

/* --- the first walk --------------------------------------------------------------------------- */
static int measure_index(const window *w, const char *id, const char *moment) {
    const sp_readout *readout = w->session.readout;
    for (size_t i = 0; i < sp_readout_count(readout); i++)
        if (sp_readout_at(readout, i) == sp_readout_find(readout, id, moment)) return (int)i;
    fail_msg("no measure %s", id);
    return -1;
}

static void press_measure(const walk *k, int index) {
    const sheet *s = &k->w->sheet;
    if (k->by != BY_KEYS) {
        press_row(k, act_explain, index);
        return;
    }
    for (int i = 0; i < 80 && (s->focus_act != act_explain || s->focus_argument != index); i++)
        key(k, SDLK_DOWN, 0);
    key(k, SDLK_RETURN, 0);
}

static void press_head(const walk *k, int moment) {
    if (k->by == BY_KEYS)
        key(k, SDLK_1 + moment, 0);
    else
        press_at(k, (sp_point){k->w->layout.sheet.x + k->w->layout.sheet.w - 40, 25});
}

static void first_walk_by(way by) {
    walk k;
    begin(&k, by);
    window *w = k.w;
    snprintf(w->first_walk.clip, sizeof w->first_walk.clip, "%s/serve.mp4", k.folder);
    settle(w);
    assert_true(first_walk_offered(w));
    next_step(&k);
    assert_int_equal(w->first_walk.step, 1);
    go(&k, MEANT_FRAMES[0]);
    assert_int_equal(w->first_walk.step, 2);
    for (int m = 0; m <= 2; m += 2) {
        go(&k, MEANT_FRAMES[m]);
        press_head(&k, m);
        assert_int_equal(sp_review_moment_frame(w->session.review, moment_kind_at(m)->name),
                         MEANT_FRAMES[m]);
    }
    for (int i = 0; i < 3; i++) {
        assert_int_equal(w->first_walk.step, 4);
        sp_point_name due;
        assert_true(tool_due(w, &due));
        tap(&k, meant_place(MEANT_FRAMES[2], due));
    }
    assert_int_equal(w->first_walk.step, 5);
    go(&k, MEANT_FRAMES[3]);
    press_head(&k, 3);
    assert_int_equal(w->first_walk.step, 6);
    press_measure(&k, measure_index(w, "forearm_to_plumb", "drop"));
    assert_int_equal(w->frames.number, MEANT_FRAMES[2]);
    assert_int_equal(w->first_walk.step, 7);
    w->sheet.focus_act = NULL;
    next_step(&k);
    assert_false(first_walk_is_on(w));
    assert_true(card_is_up(w)); /* asks for a clip of their own */
    window_end(w);
    memset(w, 0, sizeof *w);
    sp_error error = {0};
    assert_true(window_begin(w, &error));
    snprintf(w->first_walk.clip, sizeof w->first_walk.clip, "%s/serve.mp4", k.folder);
    w->choices.recent.count = 0;
    assert_false(first_walk_offered(w)); /* never again */
    window_end(w);
    free(w);
    remove_all(&k);
}

static void the_first_walk_goes_by_touch(void **state) {
    (void)state;
    first_walk_by(BY_TOUCH);
}

static void the_first_walk_goes_by_mouse(void **state) {
    (void)state;
    first_walk_by(BY_MOUSE);
}

static void the_first_walk_goes_by_keys(void **state) {
    (void)state;
    first_walk_by(BY_KEYS);
}

static void the_first_walk_is_skipped_turned_down_and_asked_for_again(void **state) {
    (void)state;
    walk k;
    begin(&k, BY_KEYS);
    window *w = k.w;
    snprintf(w->first_walk.clip, sizeof w->first_walk.clip, "%s/serve.mp4", k.folder);
    settle(w);
    key(&k, SDLK_ESCAPE, 0);
    assert_false(first_walk_offered(w));
    assert_false(window_is_open(w));
    key(&k, SDLK_F2, 0);
    assert_true(first_walk_is_on(w));
    for (int i = 0; i < 7; i++) key(&k, SDLK_F2, KMOD_LSHIFT);
    assert_false(first_walk_is_on(w));
    key(&k, SDLK_F2, 0);
    assert_int_equal(w->first_walk.step, 1);
    key(&k, SDLK_F2, 0);
    assert_false(first_walk_is_on(w));
    assert_true(window_is_open(w));
    window_end(w);
    free(w);
    remove_all(&k);
}

static void a_number_is_entered_by_fingers_alone(void **state) {
    (void)state;
    walk k;
    begin(&k, BY_TOUCH);
    window *w = k.w;
    assert_true(window_open(w, k.folder));
    settle(w);
    choose(&k, 0);
    assert_true(w->fingers);
    press_row(&k, act_stature, 0);
    static const char typed[] = "1.87\b2";
    for (int i = 0; typed[i] != '\0'; i++) press_card(&k, card_digit, typed[i]);
    press_card(&k, card_accept, 0);
    assert_near(sp_review_get_player(w->session.review)->stature_m, 1.82, 1e-9);
    window_end(w);
    free(w);
    remove_all(&k);
}

static void touch_alone_leads_from_a_folder_to_the_still(void **state) {
    (void)state;
    walk_through(BY_TOUCH);
}

static void the_mouse_alone_leads_from_a_folder_to_the_still(void **state) {
    (void)state;
    walk_through(BY_MOUSE);
}

static void keys_alone_lead_from_a_folder_to_the_still(void **state) {
    (void)state;
    walk_through(BY_KEYS);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(touch_alone_leads_from_a_folder_to_the_still),
        cmocka_unit_test(the_mouse_alone_leads_from_a_folder_to_the_still),
        cmocka_unit_test(keys_alone_lead_from_a_folder_to_the_still),
        cmocka_unit_test(a_number_is_entered_by_fingers_alone),
        cmocka_unit_test(the_first_walk_goes_by_touch),
        cmocka_unit_test(the_first_walk_goes_by_mouse),
        cmocka_unit_test(the_first_walk_goes_by_keys),
        cmocka_unit_test(the_first_walk_is_skipped_turned_down_and_asked_for_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
