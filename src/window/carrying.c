#include "window/carrying.h"

#include <stdatomic.h>
#include <stdlib.h>

#include "base/text.h"
#include "serveplumb/review_carry.h"
#include "window/actions.h"
#include "window/state.h"

/* Frames of the worker's own clip; it needs no more than the group it decodes. */
#define WORKER_CACHE ((size_t)64 << 20)

/* Shared with the thread: it alone writes what is not atomic, until `done`. */
struct carry_run {
    SDL_Thread *thread;
    atomic_bool cancelled, done;
    atomic_int tenths;
    char path[PATH_MAX];
    sp_point_name point;
    sp_carry_task *task;
    bool good;
    sp_error error;
};

static void wake(void) {
    SDL_Event event = {.type = SDL_USEREVENT};
    SDL_PushEvent(&event);
}

static bool progress(void *whom, double share) {
    struct carry_run *r = whom;
    const int tenths = (int)(10 * share);
    if (atomic_exchange(&r->tenths, tenths) != tenths) wake();
    return !atomic_load(&r->cancelled);
}

static int run(void *data) {
    struct carry_run *r = data;
    const sp_clip_options options = {.cache_bytes = WORKER_CACHE, .threads = 1};
    sp_clip *clip = sp_clip_open(r->path, &options, &r->error);
    r->good = clip != NULL && sp_carry_task_run(r->task, clip, progress, r, &r->error);
    sp_clip_close(clip);
    atomic_store(&r->done, true);
    wake();
    return 0;
}

static void free_run(struct carry_run *r) {
    SDL_WaitThread(r->thread, NULL);
    sp_carry_task_free(r->task);
    free(r);
}

bool carrying_stop(window *w) {
    struct carry_run *r = w->carrying.run;
    if (r == NULL) return false;
    atomic_store(&r->cancelled, true);
    free_run(r);
    w->carrying.run = NULL;
    return true;
}

static double m_per_px(const window *w) {
    if (w->session.readout == NULL) return 0;
    const sp_scale_reading scale = sp_readout_scale(w->session.readout);
    return scale.id[0] != '\0' && scale.m_per_px.value > 0 ? scale.m_per_px.value : 0;
}

static bool begin(window *w, const sp_review_carry_options *options) {
    sp_error error = {0};
    struct carry_run *r = calloc(1, sizeof *r);
    if (r == NULL) return false;
    sp_text_copy(r->path, sizeof r->path, w->session.clip_path);
    r->point = options->point;
    r->task = sp_carry_task_new(w->session.review, w->session.times.seconds, options, &error);
    if (r->task != NULL) r->thread = SDL_CreateThread(run, "carry", r);
    if (r->thread != NULL) {
        w->carrying = (carrying){.run = r};
        return true;
    }
    sp_carry_task_free(r->task);
    free(r);
    if (error.code != SP_ERROR_NONE) message_problem(w, &error);
    return false;
}

/* The taps before and after a frame; on the frame itself counts as both. -1: none. */
static void taps_about(const window *w, sp_point_name point, int frame, int *before, int *after) {
    sp_mark mark;
    *before = *after = -1;
    for (int n = frame; n >= 0 && *before < 0; n--)
        if (sp_review_mark(w->session.review, n, point, &mark) && mark.by == SP_BY_TAP) *before = n;
    for (int n = frame + 1; n < w->session.times.count && *after < 0; n++)
        if (sp_review_mark(w->session.review, n, point, &mark) && mark.by == SP_BY_TAP) *after = n;
}

/* The chosen one, the one that is tapped along, or the only carried or tapped one here. */
static int point_of(const window *w) {
    if (w->tool.selected >= 0) return w->tool.selected;
    return w->tool.kind == TOOL_ALONG ? (int)w->tool.point : -1;
}

/* The first and the last tap. */
static void taps_of(const window *w, sp_point_name point, int *first, int *last) {
    int unused;
    taps_about(w, point, w->session.times.count - 1, last, &unused);
    taps_about(w, point, -1, &unused, first);
}

void act_carry(window *w, int all) {
    if (!window_is_open(w)) return;
    if (carrying_stop(w)) {
        message_say(w, "Carrying was given up; nothing has changed.");
        return;
    }
    const int point = point_of(w);
    if (point < 0) {
        message_say(w, "Choose a point first: press it, or Tab from one to the next.");
        return;
    }
    const char *title = sp_point_title((sp_point_name)point);
    int before, after;
    if (all)
        taps_of(w, (sp_point_name)point, &before, &after);
    else
        taps_about(w, (sp_point_name)point, w->frames.number, &before, &after);
    if (before < 0 || after < 0 || before == after) {
        message_say(w,
                    all ? "Tap the %s on two frames, then press Ctrl Shift E."
                        : "Tap the %s on a frame before and on one after this one, then press "
                          "Shift E.",
                    title);
        return;
    }
    if (!edit_allowed(w)) return;
    const sp_review_carry_options options = {
        .point = (sp_point_name)point, .from = before, .to = after, .m_per_px = m_per_px(w)};
    if (begin(w, &options))
        message_say(w, "The %s is carried from frame %d to %d. Shift E gives it up.", title, before,
                    after);
}

void carrying_renew(window *w, int frame, sp_point_name point) {
    int before, after, unused;
    taps_about(w, point, frame - 1, &before, &unused);
    taps_about(w, point, frame, &unused, &after);
    const sp_review_carry_options options = {.point = point,
                                             .from = before < 0 ? frame : before,
                                             .to = after < 0 ? frame : after,
                                             .m_per_px = m_per_px(w)};
    carrying_stop(w);
    if (options.from < options.to) begin(w, &options);
}

/* Of the racquet's tip, where a tap tells its speed at contact best; else -1. */
static int speed_frame(const window *w, sp_point_name point) {
    if (point != SP_POINT_RACQUET_TIP) return -1;
    return sp_tap_before_contact(w->session.review, w->session.times, NULL);
}

/* "20 frames seen, 3 bridged, 0 lost; least sure on frame 212 (± 4 px): Ctrl E goes there." */
static void say(window *w, const struct carry_run *r, const sp_carry_summary *sum) {
    char lost[48] = "", worst[96] = "";
    const int speed = speed_frame(w, r->point);
    if (sum->lost > 0) snprintf(lost, sizeof lost, ", %d lost", sum->lost);
    if (speed >= 0)
        snprintf(worst, sizeof worst,
                 " Before its speed is read tap it on frame %d too: Ctrl E goes there.", speed);
    else if (sum->worst >= 0)
        snprintf(worst, sizeof worst, " Least sure on frame %d, \u00b1 %.1f px: Ctrl E goes there.",
                 sum->worst, 1.96 * sum->worst_sd_px);
    message_say(w, "The %s: seen on %d frames, bridged by its motion on %d%s.%s",
                sp_point_title(r->point), sum->seen, sum->bridged, lost, worst);
}

static void take(window *w, struct carry_run *r) {
    sp_carry_summary sum = {.worst = -1};
    sp_error error = r->error;
    w->session.edits = sp_review_edit_count(w->session.review);
    const bool good = r->good && sp_carry_task_apply(r->task, w->session.review, &sum, &error);
    if (!edit_end(w, good, &error)) return;
    if (w->session.written) say(w, r, &sum);
}

void carrying_update(window *w) {
    struct carry_run *r = w->carrying.run;
    if (r == NULL) return;
    if (atomic_load(&r->done)) {
        w->carrying.run = NULL;
        take(w, r);
        free_run(r);
        return;
    }
    const int tenths = atomic_load(&r->tenths);
    if (tenths <= w->carrying.told) return;
    w->carrying.told = tenths;
    message_say(w, "The %s is carried: %d %%. Shift E gives it up.", sp_point_title(r->point),
                10 * tenths);
}

void act_carry_doubt(window *w, int unused) {
    (void)unused;
    const int point = point_of(w);
    if (!window_is_open(w) || point < 0) {
        message_say(w, "Choose a point first: press it, or Tab from one to the next.");
        return;
    }
    double sd_px;
    const int speed = speed_frame(w, (sp_point_name)point);
    int frame =
        sp_review_doubtful_frame(w->session.review, (sp_point_name)point, w->frames.number, &sd_px);
    if (speed >= 0 && speed != w->frames.number) frame = speed;
    const char *title = sp_point_title((sp_point_name)point);
    if (frame < 0) {
        message_say(w,
                    "The %s is not carried about this frame; Shift E carries it between its taps.",
                    title);
        return;
    }
    act_go_frame(w, frame);
    w->tool.selected = point;
    if (frame == speed) {
        message_say(w,
                    "The %s here tells its speed at contact best. Move it to where it is: its "
                    "neighbours follow.",
                    title);
        return;
    }
    message_say(
        w,
        "The %s is least sure here, \u00b1 %.1f px. Move it to where it is: its neighbours follow.",
        title, 1.96 * sd_px);
}

void act_carry_off(window *w, int unused) {
    (void)unused;
    const int point = point_of(w);
    if (!window_is_open(w) || point < 0 || !edit_allowed(w)) return;
    int before, after;
    taps_about(w, (sp_point_name)point, w->frames.number, &before, &after);
    const int last = w->session.times.count - 1;
    size_t count = 0;
    sp_error error = {0};
    carrying_stop(w);
    const bool good =
        sp_review_drop_carried(w->session.review, (sp_point_name)point, before < 0 ? 0 : before,
                               after < 0 ? last : after, &count, &error);
    if (good && count == 0) {
        message_say(w, "The %s is not carried about this frame.",
                    sp_point_title((sp_point_name)point));
        return;
    }
    if (!edit_end(w, good, &error)) return;
    message_say(w, "%zu carried places of the %s are taken off.", count,
                sp_point_title((sp_point_name)point));
}
