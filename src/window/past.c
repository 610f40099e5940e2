#include "window/past.h"

#include <limits.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <SDL.h>

#include "base/text.h"
#include "serveplumb/history_page.h"
#include "window/actions.h"
#include "window/state.h"

#define TELL_MS 150
#define FIRST_S 0.3

/* Shared with the thread; it alone writes, until `done`. */
struct past_reading {
    SDL_Thread *thread;
    atomic_bool cancelled, done;
    atomic_int permille;
    _Atomic(sp_history *)
        part; /* what is there so far, for the window to take; NULL: nothing new */
    Uint64 told_ms;
    char folder[PATH_MAX], page[PATH_MAX]; /* page "": none is wanted */
    const sp_checks *checks;
    sp_units units;
    double first_s;
    sp_history *history;
    sp_error error;
};

static void wake(void) {
    SDL_Event event = {.type = SDL_USEREVENT};
    SDL_PushEvent(&event);
}

static bool goes_on(void *whom, double share) {
    struct past_reading *r = whom;
    const Uint64 now_ms = SDL_GetTicks64();
    atomic_store(&r->permille, (int)(1000 * share));
    if (now_ms - r->told_ms >= TELL_MS) {
        r->told_ms = now_ms;
        wake();
    }
    return !atomic_load(&r->cancelled);
}

static void hand_over(struct past_reading *r, sp_history *part) {
    sp_history_free(atomic_exchange(&r->part, part));
    wake();
}

/* One processor is left to the picture. The first look is short, the others four times as long
 * each: what they read out is kept, so that beginning anew costs little. */
static sp_history *read_in_parts(struct past_reading *r) {
    enum { LOOKS = 4 };
    double for_s = r->first_s;
    for (int look = 0;; look++) {
        const sp_history_options options = {.workers = SDL_max(1, SDL_GetCPUCount() - 1),
                                            .new_for_s = look < LOOKS ? for_s : 0,
                                            .tell = goes_on,
                                            .whom = r};
        sp_history *history = sp_history_read(r->folder, &options, &r->error);
        if (history == NULL || sp_history_waiting(history) == 0) return history;
        hand_over(r, history);
        for_s *= 4;
    }
}

static int read_past(void *data) {
    struct past_reading *r = data;
    const sp_history_page_options of_page = {.units = r->units};
    r->history = read_in_parts(r);
    if (r->history != NULL && r->page[0] != '\0')
        sp_history_page_write(r->history, r->checks, &of_page, r->page, &r->error);
    atomic_store(&r->done, true);
    wake();
    return 0;
}

static void find_folder(const window *w, char *folder, size_t size) {
    sp_text_copy(folder, size, w->session.review_path);
    char *slash = strrchr(folder, '/');
    if (slash == NULL)
        sp_text_copy(folder, size, ".");
    else
        slash[slash == folder] = '\0';
}

static void begin(window *w, bool page) {
    struct past_reading *r = calloc(1, sizeof *r);
    if (r == NULL) return;
    session_leave(&w->session);
    find_folder(w, r->folder, sizeof r->folder);
    r->checks = w->findings.checks;
    r->units = w->units;
    r->first_s = w->past.first_s > 0 ? w->past.first_s : FIRST_S;
    r->told_ms = SDL_GetTicks64();
    const int length = page ? snprintf(r->page, sizeof r->page, "%s/history.html", r->folder) : 0;
    r->thread = length < 0 || length >= (int)sizeof r->page
                    ? NULL
                    : SDL_CreateThread(read_past, "history", r);
    if (r->thread == NULL) {
        free(r);
        message_say(w, "The history cannot be read now.");
        return;
    }
    w->past.reading = r;
    w->past.told = 0;
    message_say(w, "Reading out the reviews of this folder \u2026");
}

/* Of the files: every edit that has ended is in them. */
void act_past(window *w, int page) {
    if (!window_is_open(w) || w->past.reading != NULL) return;
    if (page != 0 && w->findings.checks == NULL) return;
    begin(w, page != 0);
}

static void forget(past *p) {
    sp_history_views_free(&p->views);
    sp_history_free(p->history);
    p->history = NULL;
    p->waiting = 0;
}

static void tell(window *w, const struct past_reading *r) {
    if (r->error.code != SP_ERROR_NONE) {
        message_problem(w, &r->error);
    } else if (r->page[0] != '\0') {
        message_say(w, "The history is in %s", r->page);
    } else {
        const size_t left_out = sp_history_fault_count(r->history);
        if (left_out > 0)
            message_say(w, "%zu reviews read out, %zu left out: %s", sp_history_count(r->history),
                        left_out, sp_history_fault_at(r->history, 0));
        else
            message_say(w, "%zu reviews read out.", sp_history_count(r->history));
    }
}

static void take(window *w, sp_history *history, const char *folder) {
    past *p = &w->past;
    forget(p);
    p->history = history;
    sp_text_copy(p->folder, sizeof p->folder, folder);
    p->waiting = history == NULL ? 0 : sp_history_waiting(history);
    if (history != NULL && !sp_history_views_fill(history, &p->views)) forget(p);
    window_touch(w, PART_SHEET);
}

static void follow(window *w, struct past_reading *r) {
    const int permille = atomic_load(&r->permille);
    sp_history *part = atomic_exchange(&r->part, NULL);
    if (part != NULL) take(w, part, r->folder);
    if (permille <= w->past.told || w->message.problem) return;
    w->past.told = permille;
    message_say(w, "Reading out the reviews of this folder \u2026 %d %%", permille / 10);
}

void past_update(window *w) {
    struct past_reading *r = w->past.reading;
    if (r == NULL) return;
    if (!atomic_load(&r->done)) {
        follow(w, r);
        return;
    }
    SDL_WaitThread(r->thread, NULL);
    w->past.reading = NULL;
    tell(w, r);
    sp_history_free(r->part);
    take(w, r->history, r->folder);
    free(r);
}

void past_end(window *w) {
    past *p = &w->past;
    if (p->reading != NULL) {
        atomic_store(&p->reading->cancelled, true);
        SDL_WaitThread(p->reading->thread, NULL);
        sp_history_free(p->reading->part);
        sp_history_free(p->reading->history);
        free(p->reading);
        p->reading = NULL;
    }
    forget(p);
}
