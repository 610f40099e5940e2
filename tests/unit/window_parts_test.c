/* What is painted only in part is the same as painted whole. On SDL's screen in memory. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "unit/clip_maker.h"
#include "unit/window_desk.h"

enum { FRAMES = 31 };

static void settle(window *w) {
    do window_step(w, 0);
    while (SDL_HasEvents(SDL_FIRSTEVENT, SDL_LASTEVENT) || w->stale != 0 || w->later != 0 ||
           !frames_are_settled(&w->frames));
}

static uint8_t *copy_of(const sp_picture *picture) {
    const size_t size = picture->stride * (size_t)picture->height;
    uint8_t *copy = malloc(size);
    assert_non_null(copy);
    memcpy(copy, picture->pixels, size);
    return copy;
}

static void assert_strip_is_as_painted_whole(window *w, int frame) {
    const sp_picture *strip = &w->timeline.pane.picture;
    uint8_t *part = copy_of(strip);
    window_touch(w, PART_STRIP);
    settle(w);
    const size_t size = strip->stride * (size_t)strip->height;
    if (memcmp(part, strip->pixels, size) != 0) fail_msg("the strip of frame %d differs", frame);
    free(part);
}

static void a_strip_that_follows_the_frame_is_as_one_painted_whole(void **state) {
    window *w = *state;
    const int visits[] = {1, 2, 3, 11, 4, 5, 30, 29, 0, 17, 8, 9, 8, 7, 21, 20, 13, 14};
    assert_true(sp_review_set_moment(w->session.review, "contact", 9, NULL));
    assert_true(sp_review_set_moment(w->session.review, "trophy", 5, NULL));
    window_touch_review(w);
    settle(w);
    w->timeline.mapped_ms = SDL_GetTicks64() + 3600000; /* what comes to hand would be new on it */
    for (size_t i = 0; i < sizeof visits / sizeof visits[0]; i++) {
        act_go_frame(w, visits[i]);
        settle(w);
        assert_strip_is_as_painted_whole(w, visits[i]);
    }
}

/* The overlay's texture is shown in runs: all that is not empty lies in one of them, once. */
static void the_runs_of_an_overlay_hold_all_of_it(void **state) {
    window *w = *state;
    act_go_frame(w, 9);
    const sp_mark mark = {.at = {57.3, 31.9}, .by = SP_BY_TAP};
    assert_true(sp_review_set_mark(w->session.review, 9, SP_POINT_RACQUET_TIP, &mark, NULL));
    window_touch(w, PART_OVERLAY);
    settle(w);
    const pane *p = &w->overlay_pane;
    size_t painted = 0;
    for (int y = 0; y < p->picture.height; y++) {
        const uint32_t *row = (const void *)(p->picture.pixels + (size_t)y * p->picture.stride);
        for (int x = 0; x < p->picture.width; x++) {
            const SDL_Point at = {x, y};
            int held = 0;
            for (int i = 0; i < p->run_count; i++)
                if (SDL_PointInRect(&at, &p->runs[i])) held++;
            assert_true(held <= 1);
            if (row[x] != 0) assert_int_equal(held, 1), painted++;
        }
    }
    assert_true(painted > 50);
}

/* --- two clips -------------------------------------------------------------------------------- */
static char *clip_path;

static void touch(window *w, Uint32 type, SDL_FingerID id, double x, double y) {
    SDL_Event event = {.tfinger = {.type = type,
                                   .fingerId = id,
                                   .x = (float)(x / w->layout.width),
                                   .y = (float)(y / w->layout.height)}};
    assert_int_equal(SDL_PushEvent(&event), 1);
    settle(w);
}

static void press_foot(window *w, action *act, int argument) {
    const beside *b = &w->beside;
    const int i = spots_find(&b->spots, act, argument);
    assert_true(i >= 0);
    const sp_rect r = b->spots.at[i].rect;
    const double d = w->layout.density, x = b->below.x + (r.x + r.width / 2) * d,
                 y = b->below.y + (r.y + r.height / 2) * d;
    assert_true(r.width >= 44 && r.height >= 44); /* a fingertip */
    touch(w, SDL_FINGERDOWN, 1, x, y);
    touch(w, SDL_FINGERUP, 1, x, y);
}

static void drop(Uint32 type, const char *path) {
    SDL_Event event = {.drop = {.type = type, .file = path == NULL ? NULL : SDL_strdup(path)}};
    assert_int_equal(SDL_PushEvent(&event), 1);
}

static void of_two_files_dropped_together_one_lies_beside_the_other(void **state) {
    window *w = *state;
    drop(SDL_DROPBEGIN, NULL);
    drop(SDL_DROPFILE, clip_path);
    drop(SDL_DROPFILE, clip_path);
    drop(SDL_DROPCOMPLETE, NULL);
    settle(w);
    assert_int_equal(w->beside.kind, BESIDE_APART);
    drop(SDL_DROPBEGIN, NULL);
    drop(SDL_DROPFILE, clip_path);
    drop(SDL_DROPCOMPLETE, NULL);
    settle(w);
    assert_false(beside_is_open(w));
}

static void fingers_work_the_other_clip_alone(void **state) {
    window *w = *state;
    beside *b = &w->beside;
    assert_true(beside_open(w, clip_path));
    act_go_frame(w, 12);
    settle(w);
    assert_int_equal(b->frames.asked, 12);
    press_foot(w, act_other_step, 1);
    press_foot(w, act_other_step, 1);
    assert_int_equal(b->frames.asked, 14);
    assert_int_equal(w->frames.number, 12);
    const placement before = w->placement, other = b->placement;
    const double x = b->place.x + b->place.w / 2.0, y = b->place.y + b->place.h / 2.0;
    touch(w, SDL_FINGERDOWN, 1, x - 20, y);
    touch(w, SDL_FINGERDOWN, 2, x + 20, y);
    touch(w, SDL_FINGERMOTION, 2, x + 60, y);
    touch(w, SDL_FINGERUP, 2, x + 60, y);
    touch(w, SDL_FINGERUP, 1, x - 20, y);
    assert_true(fabs(b->placement.zoom / other.zoom - 2) < 0.01);
    assert_true(w->placement.zoom == before.zoom && w->placement.x == before.x);
    press_foot(w, act_over, 0);
    assert_int_equal(b->kind, BESIDE_OVER);
    press_foot(w, act_end_compare, 0);
    assert_false(beside_is_open(w));
    assert_int_equal(w->frames.number, 12);
}

static int open_window(void **state) {
    clip_path = made_path("serve.mp4");
    const made_clip made = {.codec = "libx264", .frames = FRAMES, .group = 6};
    made_write(clip_path, &made);
    char home[192];
    snprintf(home, sizeof home, "%.*s", (int)(strrchr(clip_path, '/') - clip_path), clip_path);
    const char *const names[] = {"XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"};
    for (int i = 0; i < 3; i++) setenv(names[i], home, 1);
    setenv("SDL_VIDEODRIVER", "dummy", 1);
    setenv("SDL_AUDIODRIVER", "dummy", 1);
    window *w = calloc(1, sizeof *w);
    sp_error error = {0};
    assert_non_null(w);
    if (!window_begin(w, &error) || !window_open(w, clip_path)) fail_msg("%s", error.message);
    *state = w;
    settle(w);
    return 0;
}

static int close_window(void **state) {
    window_end(*state);
    free(*state);
    char command[192];
    snprintf(command, sizeof command, "rm -rf '%.*s'", (int)(strrchr(clip_path, '/') - clip_path),
             clip_path);
    return system(command);
}

#define SHOWN(test) cmocka_unit_test_setup_teardown(test, open_window, close_window)

int main(void) {
    const struct CMUnitTest tests[] = {
        SHOWN(a_strip_that_follows_the_frame_is_as_one_painted_whole),
        SHOWN(the_runs_of_an_overlay_hold_all_of_it),
        SHOWN(fingers_work_the_other_clip_alone),
        SHOWN(of_two_files_dropped_together_one_lies_beside_the_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
