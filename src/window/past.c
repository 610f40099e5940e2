#include "window/past.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <SDL.h>

#include "base/text.h"
#include "serveplumb/history_page.h"
#include "window/actions.h"
#include "window/state.h"

/* Shared with the thread; it alone writes, until `done`. */
struct past_reading {
    SDL_Thread *thread;
    atomic_bool cancelled, done;
    char folder[PATH_MAX], page[PATH_MAX]; /* page "": none is wanted */
    const sp_checks *checks;
    sp_units units;
    sp_history *history;
    sp_error error;
};

static bool goes_on(void *whom, double share) {
    struct past_reading *r = whom;
    (void)share;
    return !atomic_load(&r->cancelled);
}

/* One processor is left to the picture. */
static int read_past(void *data) {
    struct past_reading *r = data;
    const sp_history_options options = {
        .workers = SDL_max(1, SDL_GetCPUCount() - 1), .tell = goes_on, .whom = r};
    const sp_history_page_options of_page = {.units = r->units};
    r->history = sp_history_read(r->folder, &options, &r->error);
    if (r->history != NULL && r->page[0] != '\0')
        sp_history_page_write(r->history, r->checks, &of_page, r->page, &r->error);
    atomic_store(&r->done, true);
    SDL_Event wake = {.type = SDL_USEREVENT};
    SDL_PushEvent(&wake);
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
    find_folder(w, r->folder, sizeof r->folder);
    r->checks = w->findings.checks;
    r->units = w->units;
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

void past_update(window *w) {
    past *p = &w->past;
    struct past_reading *r = p->reading;
    if (r == NULL || !atomic_load(&r->done)) return;
    SDL_WaitThread(r->thread, NULL);
    p->reading = NULL;
    tell(w, r);
    forget(p);
    p->history = r->history;
    memcpy(p->folder, r->folder, sizeof p->folder);
    if (p->history != NULL && !sp_history_views_fill(p->history, &p->views)) forget(p);
    free(r);
    window_touch(w, PART_SHEET);
}

void past_end(window *w) {
    past *p = &w->past;
    if (p->reading != NULL) {
        atomic_store(&p->reading->cancelled, true);
        SDL_WaitThread(p->reading->thread, NULL);
        sp_history_free(p->reading->history);
        free(p->reading);
        p->reading = NULL;
    }
    forget(p);
}
