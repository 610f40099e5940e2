/* How long the window takes from an event to the call that presents, with everything in it: the
 * frame, the overlay, the strip and the words. Steps over frames that are there already; panning
 * and zooming; and what it uses while nothing moves. Usage: window_bench CLIP-OR-REVIEW */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include <SDL.h>

#include "window/actions.h"
#include "window/state.h"

enum { EVENTS = 160 };
#define IDLE_S 10

/* Of the wall, and of the thread's own use of the processor: the same on a quiet machine. */
typedef struct {
    double wall_ms, own_ms;
} moment;

static moment presenting;
static bool presented;

static double clock_ms(clockid_t which) {
    struct timespec now;
    clock_gettime(which, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static double now_ms(void) { return clock_ms(CLOCK_MONOTONIC); }

static moment now(void) { return (moment){now_ms(), clock_ms(CLOCK_THREAD_CPUTIME_ID)}; }

static void note_present(void) {
    presenting = now();
    presented = true;
}

static double used_ms(void) {
    struct rusage use;
    getrusage(RUSAGE_SELF, &use);
    return (double)(use.ru_utime.tv_sec + use.ru_stime.tv_sec) * 1e3 +
           (double)(use.ru_utime.tv_usec + use.ru_stime.tv_usec) / 1e3;
}

static int upward(const void *a, const void *b) {
    const double one = *(const double *)a, other = *(const double *)b;
    return (one > other) - (one < other);
}

static void settle(window *w, int ms) {
    const double end = now_ms() + ms;
    while (now_ms() < end) window_step(w, 20);
}

typedef struct {
    double wall_ms[EVENTS], own_ms[EVENTS];
} taken;

/* From the event until the window is about to present; `whole`: and has presented. */
static void note(window *w, taken *t, int i, SDL_Event event, bool whole) {
    do settle(w, 8); /* as events come */
    while (w->later != 0);
    const moment begun = now();
    SDL_PushEvent(&event);
    window_step(w, 0); /* takes it */
    presented = false;
    while (!presented || w->stale != 0 || !frames_are_settled(&w->frames)) window_step(w, 0);
    const moment ended = whole ? now() : presenting;
    t->wall_ms[i] = ended.wall_ms - begun.wall_ms;
    t->own_ms[i] = ended.own_ms - begun.own_ms;
}

static void report(const char *what, taken *t) {
    qsort(t->wall_ms, EVENTS, sizeof t->wall_ms[0], upward);
    qsort(t->own_ms, EVENTS, sizeof t->own_ms[0], upward);
    enum { MIDDLE = EVENTS / 2, HIGH = EVENTS * 95 / 100 };
    printf(", \"%s\": [%.2f, %.2f, %.2f, %.2f]", what, t->wall_ms[MIDDLE], t->wall_ms[HIGH],
           t->own_ms[MIDDLE], t->own_ms[HIGH]);
}

static SDL_Event key(SDL_Keycode sym) {
    return (SDL_Event){.key = {.type = SDL_KEYDOWN,
                               .keysym = {.sym = sym, .scancode = SDL_GetScancodeFromKey(sym)}}};
}

/* On and back, over as many frames as are surely there. */
static void steps(window *w, const char *what) {
    taken t;
    for (int i = 0; i < EVENTS; i++)
        note(w, &t, i, key(i / 12 % 2 == 0 ? SDLK_RIGHT : SDLK_LEFT), false);
    report(what, &t);
}

static SDL_Event motion(int x, int y) {
    return (SDL_Event){.motion = {.type = SDL_MOUSEMOTION, .x = x, .y = y}};
}

static void press(window *w, Uint32 type, int x, int y) {
    SDL_Event event = {.button = {.type = type, .button = SDL_BUTTON_MIDDLE, .x = x, .y = y}};
    SDL_PushEvent(&event);
    window_step(w, 0);
}

static void pans(window *w) {
    const int x = w->layout.canvas.w / 2, y = w->layout.canvas.h / 2;
    taken t;
    press(w, SDL_MOUSEBUTTONDOWN, x, y);
    for (int i = 0; i < EVENTS; i++) note(w, &t, i, motion(x + 6 + i % 80, y + i % 50), true);
    press(w, SDL_MOUSEBUTTONUP, x, y);
    report("pan", &t);
}

static void zooms(window *w) {
    taken t;
    for (int i = 0; i < EVENTS; i++) {
        const float turn = i / 10 % 2 == 0 ? 1.0F : -1.0F;
        note(w, &t, i, (SDL_Event){.wheel = {.type = SDL_MOUSEWHEEL, .preciseY = turn}}, true);
    }
    report("zoom", &t);
}

static void idle(window *w) {
    const double begun = now_ms(), before = used_ms();
    while (now_ms() - begun < IDLE_S * 1000) window_step(w, IDLE_S * 1000);
    printf(", \"idle\": %.4f", (used_ms() - before) / (now_ms() - begun));
}

int main(int count, char **words) {
    window *w = calloc(1, sizeof *w);
    sp_error error = {0};
    if (count < 2 || w == NULL || !window_begin(w, &error) || !window_open(w, words[1])) {
        fprintf(stderr, "window_bench: %s%s\n", error.message, w == NULL ? "" : w->message.text);
        return 1;
    }
    w->presenting = note_present;
    printf("{\"size\": [%d, %d]", w->layout.width, w->layout.height);
    act_go_moment(w, 1);
    settle(w, 3000);
    steps(w, "step");
    act_go_moment(w, 2);
    settle(w, 500);
    steps(w, "marked");
    act_go_moment(w, 1);
    settle(w, 500);
    pans(w);
    zooms(w);
    act_fit(w, 0);
    settle(w, 12000);
    idle(w);
    printf("}\n");
    window_end(w);
    free(w);
    return 0;
}
