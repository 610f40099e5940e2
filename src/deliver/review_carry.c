#include "serveplumb/review_carry.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "deliver/frame_luma.h"
#include "serveplumb/carry.h"

struct sp_carry_task {
    sp_point_name point;
    int frames;
    double *seconds; /* real time */
    sp_carry_tap *taps;
    sp_carry_partner *partner; /* NULL: none */
    sp_carried *carried;
    bool done;
    sp_carry_job job;
};

/* The other end of a length that cannot change, the best first; -1 ends. */
static const struct {
    sp_point_name point;
    int partners[3];
} lengths[] = {
    {SP_POINT_RACQUET_TIP, {SP_POINT_RACQUET_BUTT, SP_POINT_HAND_HEEL, -1}},
    {SP_POINT_RACQUET_BUTT, {SP_POINT_RACQUET_TIP, -1, -1}},
    {SP_POINT_RIGHT_HAND, {SP_POINT_RIGHT_ELBOW, -1, -1}},
    {SP_POINT_LEFT_HAND, {SP_POINT_LEFT_ELBOW, -1, -1}},
    {SP_POINT_RIGHT_WRIST, {SP_POINT_RIGHT_ELBOW, -1, -1}},
    {SP_POINT_LEFT_WRIST, {SP_POINT_LEFT_ELBOW, -1, -1}},
};

static sp_carry_task *fail_memory(sp_carry_task *task, sp_error *error) {
    sp_carry_task_free(task);
    sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
    return NULL;
}

void sp_carry_task_free(sp_carry_task *task) {
    if (task == NULL) return;
    free(task->seconds);
    free(task->taps);
    free(task->partner);
    free(task->carried);
    free(task);
}

static size_t take_taps(sp_carry_task *task, const sp_review *review) {
    size_t count = 0;
    sp_mark mark;
    for (size_t i = 0; i < sp_review_marked_count(review); i++) {
        const int frame = sp_review_marked_frame(review, i);
        if (sp_review_mark(review, frame, task->point, &mark) && mark.by == SP_BY_TAP)
            task->taps[count++] = (sp_carry_tap){frame, mark.at, fmax(mark.sd_px, 0.05)};
    }
    return count;
}

/* How many frames have the other end. */
static int take_partner(sp_carry_task *task, const sp_review *review, int partner) {
    int count = 0;
    sp_mark mark;
    for (int n = 0; n < task->frames; n++) {
        sp_carry_partner *p = &task->partner[n];
        *p = (sp_carry_partner){.there = sp_review_mark(review, n, (sp_point_name)partner, &mark)};
        if (!p->there) continue;
        p->at = mark.at;
        p->sd_px = mark.sd_px;
        count++;
    }
    return count;
}

static void take_lengths(sp_carry_task *task, const sp_review *review, double m_per_px) {
    const double racquet_m = sp_review_get_player(review)->racquet_m;
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++) {
        if (lengths[i].point != task->point) continue;
        for (int k = 0; k < 3 && lengths[i].partners[k] >= 0; k++) {
            if (take_partner(task, review, lengths[i].partners[k]) == 0) continue;
            task->job.partner = task->partner;
            const bool racquet = lengths[i].partners[k] == SP_POINT_RACQUET_BUTT ||
                                 task->point == SP_POINT_RACQUET_BUTT;
            if (racquet && m_per_px > 0) task->job.length_px = racquet_m / m_per_px;
            return;
        }
    }
}

static bool choose_frames(sp_carry_task *task, const sp_review_carry_options *options, size_t taps,
                          sp_error *error) {
    sp_carry_job *job = &task->job;
    const char *title = sp_point_title(task->point);
    const bool whole = options->from < 0 && options->to < 0;
    if (taps == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "there is no tap of the %s to carry from; tap it on two frames first",
                       title);
    if (whole && taps < 2)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the %s is tapped on one frame only; tap it on another too, or say which "
                       "frames are wanted",
                       title);
    job->from = whole ? task->taps[0].frame : options->from;
    job->to = whole ? task->taps[taps - 1].frame : options->to;
    if (job->from < 0 || job->to >= task->frames || job->from > job->to)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "frames %d to %d are not frames of this clip, which are 0 to %d", job->from,
                       job->to, task->frames - 1);
    return true;
}

static bool make_room(sp_carry_task *task) {
    const size_t count = (size_t)task->frames;
    task->seconds = calloc(count, sizeof *task->seconds);
    task->taps = calloc(count, sizeof *task->taps);
    task->partner = calloc(count, sizeof *task->partner);
    task->carried = calloc(count, sizeof *task->carried);
    return task->seconds != NULL && task->taps != NULL && task->partner != NULL &&
           task->carried != NULL;
}

static bool is_swift(const sp_review *review, sp_point_name point) {
    static const sp_point_name swift[] = {SP_POINT_RACQUET_TIP, SP_POINT_RACQUET_BUTT,
                                          SP_POINT_RIGHT_HAND,  SP_POINT_RIGHT_WRIST,
                                          SP_POINT_HAND_HEEL,   SP_POINT_RIGHT_ELBOW};
    const sp_hand hand = sp_review_get_player(review)->hand;
    for (size_t i = 0; i < sizeof swift / sizeof swift[0]; i++)
        if (sp_point_for_hand(swift[i], hand) == point) return true;
    return false;
}

/* The racquet and the ball meet: both may change their motion at once. */
static int impact_of(const sp_review *review, sp_point_name point) {
    const bool meets = point == SP_POINT_BALL || point == SP_POINT_RACQUET_TIP;
    return meets ? sp_review_moment_frame(review, "contact") : -1;
}

sp_carry_task *sp_carry_task_new(const sp_review *review, const double *seconds,
                                 const sp_review_carry_options *options, sp_error *error) {
    const sp_review_clip *clip = sp_review_get_clip(review);
    sp_carry_task *task = calloc(1, sizeof *task);
    if (task == NULL) return fail_memory(task, error);
    task->point = options->point;
    task->frames = clip->frames;
    if (!make_room(task)) return fail_memory(task, error);
    for (int n = 0; n < clip->frames; n++) task->seconds[n] = seconds[n] / clip->slowdown;
    task->job.taps = task->taps;
    task->job.tap_count = take_taps(task, review);
    task->job.ball = task->point == SP_POINT_BALL;
    task->job.swift = is_swift(review, task->point);
    task->job.impact = impact_of(review, task->point);
    take_lengths(task, review, options->m_per_px);
    if (choose_frames(task, options, task->job.tap_count, error)) return task;
    sp_carry_task_free(task);
    return NULL;
}

static bool read_luma(void *context, int n, uint8_t *luma, sp_error *error) {
    return sp_frame_luma_read(context, n, luma, error);
}

bool sp_carry_task_run(sp_carry_task *task, sp_clip *clip,
                       bool (*progress)(void *whom, double share), void *whom, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    const sp_carry_clip pictures = {.width = facts->width,
                                    .height = facts->height,
                                    .frames = task->frames,
                                    .seconds = task->seconds,
                                    .luma = read_luma,
                                    .context = clip};
    task->job.progress = progress;
    task->job.whom = whom;
    task->done = sp_carry_point(&pictures, &task->job, task->carried, error);
    return task->done;
}

static void count_in(sp_carry_summary *sum, const sp_carried *c, int frame) {
    if (c->by == SP_CARRIED_TAPPED) return;
    sum->seen += c->by == SP_CARRIED_SEEN;
    sum->bridged += c->by == SP_CARRIED_BRIDGED;
    sum->lost += c->by == SP_CARRIED_NOT;
    if (c->by == SP_CARRIED_NOT || c->sd_px <= sum->worst_sd_px) return;
    sum->worst = frame;
    sum->worst_sd_px = c->sd_px;
}

/* Tapped and guessed frames are the coach's. */
static bool put(sp_review *review, int frame, sp_point_name point, const sp_carried *c,
                bool *changed, sp_error *error) {
    sp_mark now;
    *changed = false;
    const bool there = sp_review_mark(review, frame, point, &now);
    if (there && now.by != SP_BY_CARRY) return true;
    const sp_review_clip *clip = sp_review_get_clip(review);
    const bool outside =
        c->at.x < 0 || c->at.y < 0 || c->at.x > clip->width || c->at.y > clip->height;
    if (c->by == SP_CARRIED_NOT || c->by == SP_CARRIED_TAPPED || outside) {
        *changed = there;
        return sp_review_set_mark(review, frame, point, NULL, error);
    }
    /* As many digits as there is sense in. */
    const sp_mark mark = {.at = {round(c->at.x * 100) / 100, round(c->at.y * 100) / 100},
                          .sd_px = fmax(0.01, round(c->sd_px * 100) / 100),
                          .by = SP_BY_CARRY};
    *changed = !there || mark.at.x != now.at.x || mark.at.y != now.at.y || mark.sd_px != now.sd_px;
    return sp_review_set_mark(review, frame, point, &mark, error);
}

bool sp_carry_task_apply(const sp_carry_task *task, sp_review *review, sp_carry_summary *summary,
                         sp_error *error) {
    sp_carry_summary sum = {.worst = -1};
    for (int n = task->job.from; task->done && n <= task->job.to; n++) {
        const sp_carried *c = &task->carried[n - task->job.from];
        bool changed;
        if (!put(review, n, task->point, c, &changed, error)) return false;
        sum.changed += changed;
        count_in(&sum, c, n);
    }
    if (summary != NULL) *summary = sum;
    return true;
}

bool sp_review_drop_carried(sp_review *review, sp_point_name point, int from, int to, size_t *count,
                            sp_error *error) {
    size_t dropped = 0;
    for (int n = from; n <= to; n++) {
        sp_mark mark;
        if (!sp_review_mark(review, n, point, &mark) || mark.by != SP_BY_CARRY) continue;
        if (!sp_review_set_mark(review, n, point, NULL, error)) return false;
        dropped++;
    }
    if (count != NULL) *count = dropped;
    return true;
}

int sp_review_doubtful_frame(const sp_review *review, sp_point_name point, int frame,
                             double *sd_px) {
    const int frames = sp_review_get_clip(review)->frames;
    int worst = -1;
    double most = 0;
    for (int way = -1; way <= 1; way += 2)
        for (int n = way < 0 ? frame : frame + 1; n >= 0 && n < frames; n += way) {
            sp_mark mark;
            if (!sp_review_mark(review, n, point, &mark)) break;
            if (mark.by == SP_BY_TAP && n != frame) break;
            if (mark.by != SP_BY_CARRY || mark.sd_px <= most) continue;
            worst = n;
            most = mark.sd_px;
        }
    if (sd_px != NULL) *sd_px = most;
    return worst;
}
