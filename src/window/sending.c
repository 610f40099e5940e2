#include "window/sending.h"

#include <limits.h>
#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "base/text.h"
#include "serveplumb/last_time.h"
#include "serveplumb/marks_exchange.h"
#include "serveplumb/page_make.h"
#include "serveplumb/pair_clip.h"
#include "serveplumb/review_clip.h"
#include "serveplumb/still.h"
#include "serveplumb/talk_clip.h"
#include "window/actions.h"
#include "window/sending_work.h"
#include "window/state.h"

#define LOOK_MS 150

/* --- one side: a review with its clip -------------------------------------------------------- */

typedef struct {
    sp_review *review;
    sp_clip *clip;
    sp_readout *readout;
    sp_checks *checks;
    sp_findings *found;
} side;

static void close_side(side *s) {
    sp_findings_free(s->found);
    sp_checks_free(s->checks);
    sp_readout_free(s->readout);
    sp_clip_close(s->clip);
    sp_review_free(s->review);
}

static bool open_side(side *s, const char *path, sp_error *error) {
    const sp_clip_options options = {.cache_bytes = SP_REEL_CACHE_BYTES};
    s->review = sp_review_read(path, error);
    if (s->review != NULL) s->clip = sp_review_open_clip(s->review, path, &options, error);
    if (s->clip != NULL)
        s->readout = sp_readout_new(s->review, sp_clip_frame_times(s->clip), NULL, error);
    return s->readout != NULL;
}

/* What may be sent of it, with what was asked last time. */
static bool find(side *s, const char *path, sp_units units, sp_error *error) {
    char own[PATH_MAX];
    s->checks = sp_checks_new(sp_checks_own_path(own, sizeof own) ? own : NULL, NULL, error);
    if (s->checks == NULL) return false;
    s->found = sp_findings_new(s->checks, s->review, s->readout, units, error);
    if (s->found == NULL) return false;
    sp_last_time last = sp_last_time_read(s->review, path);
    const bool good = sp_last_time_ask(&last, s->found, error);
    sp_last_time_free(&last);
    return good;
}

/* --- the kinds of work; each in the thread --------------------------------------------------- */

static bool told(void *whom, double share) {
    struct sending_work *work = whom;
    atomic_store(&work->permille, (int)(1000 * share));
    return !atomic_load(&work->cancelled);
}

/* "<review>-<word>" beside the review. */
static bool name_out(const struct sending_work *work, const char *word, char path[PATH_MAX],
                     sp_error *error) {
    static const char end[] = ".review.json";
    size_t length = strlen(work->review);
    const size_t tail = sizeof end - 1;
    if (length > tail && strcmp(work->review + length - tail, end) == 0) length -= tail;
    const int count = snprintf(path, PATH_MAX, "%.*s-%s", (int)length, work->review, word);
    return (count > 0 && count < PATH_MAX) ||
           sp_fail(error, SP_ERROR_LIMIT, "the name would be too long; shorten that of the review");
}

static bool send_clip(struct sending_work *work, side *s, sp_error *error) {
    char clip_path[PATH_MAX];
    sp_reel_options options = {.units = work->units};
    sp_reel_usual(s->clip, s->review, &options);
    if (sp_review_clip_path(s->review, work->review, clip_path, sizeof clip_path))
        options.clip_path = clip_path;
    if (!name_out(work, "clip.mp4", work->out, error)) return false;
    sp_reel *reel = sp_reel_new(s->clip, s->review, s->readout, &options, error);
    const bool good = reel != NULL && sp_reel_write(reel, work->out, told, work, error);
    sp_reel_free(reel);
    return good;
}

static bool send_page(struct sending_work *work, side *s, sp_error *error) {
    const sp_page_options options = {.units = work->units};
    if (!find(s, work->review, work->units, error) ||
        !name_out(work, "page.html", work->out, error))
        return false;
    const sp_page_part part = {
        .clip = s->clip, .review = s->review, .readout = s->readout, .findings = s->found};
    sp_page_made *made = calloc(1, sizeof *made);
    if (made == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the page");
    const bool good = sp_page_make(&part, 1, &options, work->out, told, work, made, error);
    if (good && made->beside[0][0] != '\0')
        snprintf(work->also, sizeof work->also, "send %.300s with it",
                 session_name(made->beside[0]));
    free(made);
    return good;
}

static bool send_talk(struct sending_work *work, side *s, sp_error *error) {
    char path[PATH_MAX];
    const sp_talk_clip_options options = {.units = work->units};
    if (!sp_talk_path_beside(work->review, path, sizeof path) ||
        !name_out(work, "talk.mp4", work->out, error))
        return false;
    sp_talk *talk = sp_talk_read(path, sp_review_get_clip(s->review), error);
    sp_talk_clip *made = talk == NULL ? NULL
                                      : sp_talk_clip_new(s->clip, s->review, s->readout, talk, path,
                                                         &options, error);
    const bool good = made != NULL && sp_talk_clip_write(made, work->out, told, work, error);
    sp_talk_clip_free(made);
    sp_talk_free(talk);
    return good;
}

static bool send_stills(struct sending_work *work, side *s, sp_error *error) {
    const size_t count = sp_review_moment_count(s->review);
    if (!find(s, work->review, work->units, error)) return false;
    for (size_t i = 0; i < count; i++) {
        const sp_moment *moment = sp_review_moment_at(s->review, i);
        char word[SP_REVIEW_ID_MAX + 8];
        snprintf(word, sizeof word, "%s.png", moment->name);
        for (char *c = word; *c != '\0'; c++)
            if (*c == '/') *c = '_';
        const sp_still_options options = {.frame = moment->frame,
                                          .moment = moment->name,
                                          .units = work->units,
                                          .findings = s->found};
        if (!told(work, (double)i / (double)count))
            return sp_fail(error, SP_ERROR_CANCELLED, "given up: %zu of %zu stills are there", i,
                           count);
        if (!name_out(work, word, work->out, error) ||
            !sp_still_write(s->clip, s->review, s->readout, &options, work->out, error))
            return false;
    }
    snprintf(work->also, sizeof work->also, "%zu stills", count);
    return count > 0 || sp_fail(error, SP_ERROR_ARGUMENT, "No moment is named yet.");
}

static bool send_row(struct sending_work *work, side *s, sp_error *error) {
    sp_panel panels[SP_PANELS_MAX];
    const int count = (int)SDL_min(sp_review_moment_count(s->review), (size_t)SP_PANELS_MAX);
    const sp_panels_options options = {.units = work->units};
    for (int i = 0; i < count; i++) {
        const sp_moment *moment = sp_review_moment_at(s->review, (size_t)i);
        panels[i] = (sp_panel){.clip = s->clip,
                               .review = s->review,
                               .readout = s->readout,
                               .frame = moment->frame,
                               .moment = moment->name};
    }
    if (count < 2)
        return sp_fail(error, SP_ERROR_ARGUMENT, "A row needs two moments or more: name them.");
    return name_out(work, work->kind == SEND_ROW ? "row.png" : "row.pdf", work->out, error) &&
           sp_panels_write(panels, count, &options, work->out, error);
}

static bool write_text(const char *path, char *text, sp_error *error) {
    const bool good = text != NULL && sp_file_write(path, text, strlen(text), error);
    free(text);
    return good;
}

static bool send_points(struct sending_work *work, side *s, sp_error *error) {
    const sp_frame_times times = sp_clip_frame_times(s->clip);
    char coco[PATH_MAX];
    if (!name_out(work, "points.coco.json", coco, error) ||
        !name_out(work, "points.csv", work->out, error) ||
        !write_text(coco, sp_marks_detach_coco(s->review, error), error) ||
        !write_text(work->out, sp_marks_detach_csv(s->review, times, error), error))
        return false;
    snprintf(work->also, sizeof work->also, "and %.300s", session_name(coco));
    return true;
}

/* The moment that both are locked at in the window, else the contact. */
static bool send_pair(struct sending_work *work, side *s, sp_error *error) {
    side other = {0};
    bool good = open_side(&other, work->other, error);
    const char *lock = work->moment[0] == '\0' ? "contact" : work->moment;
    sp_panel panels[2] = {
        {.clip = s->clip, .review = s->review, .readout = s->readout, .whose = "first"},
        {.clip = other.clip, .review = other.review, .readout = other.readout, .whose = "second"}};
    for (int i = 0; good && i < 2; i++) {
        panels[i].moment = lock;
        panels[i].frame = sp_review_moment_frame(panels[i].review, lock);
        if (panels[i].frame < 0)
            good = sp_fail(error, SP_ERROR_ARGUMENT, "Both must name the %s first.", lock);
    }
    if (good && work->kind == SEND_PAIR_STILL) {
        const sp_panels_options options = {.units = work->units};
        good = name_out(work, "beside.png", work->out, error) &&
               sp_panels_write(panels, 2, &options, work->out, error);
    } else if (good) {
        const sp_pair_options options = {.moment = lock, .units = work->units};
        sp_pair_clip *pair = sp_pair_clip_new(panels, &options, error);
        good = pair != NULL && name_out(work, "beside.mp4", work->out, error) &&
               sp_pair_clip_write(pair, work->out, told, work, error);
        sp_pair_clip_free(pair);
    }
    close_side(&other);
    return good;
}

typedef bool doing(struct sending_work *work, side *s, sp_error *error);
static const struct {
    doing *todo;
    const char *what;
} kinds[SEND_KINDS] = {
    [SEND_CLIP] = {send_clip, "the clip"},
    [SEND_PAGE] = {send_page, "the page"},
    [SEND_TALK] = {send_talk, "the talk-through"},
    [SEND_STILLS] = {send_stills, "the stills"},
    [SEND_ROW] = {send_row, "the row"},
    [SEND_ROW_PDF] = {send_row, "the row"},
    [SEND_POINTS] = {send_points, "the points"},
    [SEND_PAIR] = {send_pair, "both as a clip"},
    [SEND_PAIR_STILL] = {send_pair, "both as a still"},
};

const char *sending_what(sending_kind kind) { return kinds[kind].what; }

static int run(void *data) {
    struct sending_work *work = data;
    side s = {0};
    work->good =
        open_side(&s, work->review, &work->error) && kinds[work->kind].todo(work, &s, &work->error);
    close_side(&s);
    atomic_store(&work->done, true);
    SDL_Event wake = {.type = SDL_USEREVENT};
    SDL_PushEvent(&wake);
    return 0;
}

/* --- from the window ------------------------------------------------------------------------- */

bool sending_is_on(const window *w) { return w->sending.work != NULL; }

static bool fill(window *w, struct sending_work *work, sending_kind kind) {
    work->kind = kind;
    work->units = w->units;
    work->since_ms = SDL_GetTicks64();
    sp_text_copy(work->review, sizeof work->review, w->session.review_path);
    if (!beside_is_open(w)) return true;
    sp_text_copy(work->other, sizeof work->other, w->beside.other.review_path);
    sp_text_copy(work->moment, sizeof work->moment, w->beside.moment);
    return true;
}

void act_send(window *w, int kind) {
    if (!window_is_open(w)) return;
    if (sending_is_on(w)) {
        message_say(w, "Still busy with %s.", sending_what(w->sending.work->kind));
        return;
    }
    if (talking_is_on(w)) act_talk_end(w, 0);
    play_stop(w);
    sp_error error = {0};
    const bool there = access(w->session.review_path, F_OK) == 0 && w->session.written;
    if (!there && (!session_may_edit(&w->session, &error) || !session_store(&w->session, &error))) {
        message_problem(w, &error);
        return;
    }
    struct sending_work *work = calloc(1, sizeof *work);
    if (work == NULL || !fill(w, work, (sending_kind)kind)) return;
    work->thread = SDL_CreateThread(run, "sending", work);
    if (work->thread == NULL) {
        free(work);
        return;
    }
    w->sending.work = work;
    window_touch(w, PART_SHEET);
}

void act_send_give_up(window *w, int unused) {
    (void)unused;
    if (sending_is_on(w)) atomic_store(&w->sending.work->cancelled, true);
}

static void take_over(window *w) {
    struct sending_work *work = w->sending.work;
    SDL_WaitThread(work->thread, NULL);
    w->sending.work = NULL;
    if (work->good)
        message_say(w, "Done: %s%s%s", work->out, work->also[0] == '\0' ? "" : "; ", work->also);
    else if (work->error.code == SP_ERROR_CANCELLED)
        message_say(w, "%s", "Given up; there is no half file.");
    else
        message_problem(w, &work->error);
    free(work);
    window_touch(w, PART_SHEET);
}

int sending_update(window *w) {
    if (!sending_is_on(w)) return -1;
    if (atomic_load(&w->sending.work->done)) {
        take_over(w);
        return -1;
    }
    const int permille = atomic_load(&w->sending.work->permille);
    if (permille != w->sending.work->shown) window_touch(w, PART_SHEET);
    w->sending.work->shown = permille;
    return LOOK_MS;
}

void sending_end(window *w) {
    if (!sending_is_on(w)) return;
    act_send_give_up(w, 0);
    SDL_WaitThread(w->sending.work->thread, NULL);
    free(w->sending.work);
    w->sending.work = NULL;
}
