#include "serveplumb/pair_clip.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "deliver/spread.h"
#include "serveplumb/review_clip.h"

#define LONG_SIDE_MAX 1920.0
#define ROUND_THE_MOMENTS_S 0.3 /* real time shown before the first and after the last */
/* Some players give up on a picture that stands still for long. */
#define STAND_MAX_TICKS 3

/* Real seconds since the moment of the lock. */
typedef struct {
    double from_s, to_s;
} span;

struct sp_pair_clip {
    sp_pair_options options;
    sp_spread spread;
    double lock_s[2]; /* of the moment in each clip, by its own clock */
    span shown;
    sp_reel_facts facts;
    sp_picture picture;
    sp_paint *paint;
};

static double slowdown_of(const sp_panel *panel) {
    return sp_review_get_clip(panel->review)->slowdown;
}

static double real_s(const sp_pair_clip *p, int i, double clip_s) {
    return (clip_s - p->lock_s[i]) / slowdown_of(&p->spread.panels[i]);
}

static span whole_of(const sp_pair_clip *p, int i) {
    const sp_clip_facts *facts = sp_clip_get_facts(p->spread.panels[i].clip);
    return (span){real_s(p, i, 0.0), real_s(p, i, facts->duration_s)};
}

static span moments_of(const sp_pair_clip *p, int i) {
    const sp_panel *panel = &p->spread.panels[i];
    const double *times = sp_clip_times(panel->clip);
    const size_t last = sp_review_moment_count(panel->review) - 1;
    return (span){
        real_s(p, i, times[sp_review_moment_at(panel->review, 0)->frame]) - ROUND_THE_MOMENTS_S,
        real_s(p, i, times[sp_review_moment_at(panel->review, last)->frame]) + ROUND_THE_MOMENTS_S};
}

/* What is asked for of either, as far as both have pictures. */
static void choose_span(sp_pair_clip *p) {
    const span a = moments_of(p, 0), b = moments_of(p, 1);
    const span one = whole_of(p, 0), other = whole_of(p, 1);
    p->shown.from_s = fmax(fmin(a.from_s, b.from_s), fmax(one.from_s, other.from_s));
    p->shown.to_s = fmin(fmax(a.to_s, b.to_s), fmin(one.to_s, other.to_s));
    const double hold = fmax(0.0, p->options.hold_s);
    p->facts.duration_s = (p->shown.to_s - p->shown.from_s) * p->options.slow + hold;
}

/* Standing still at the lock takes no real time. */
static double real_at(const sp_pair_clip *p, double time_s) {
    const double before = -p->shown.from_s * p->options.slow, hold = fmax(0.0, p->options.hold_s);
    if (time_s < before) return p->shown.from_s + time_s / p->options.slow;
    return fmax(0.0, time_s - before - hold) / p->options.slow;
}

static int frame_at(const sp_pair_clip *p, int i, double since_s) {
    const sp_panel *panel = &p->spread.panels[i];
    const sp_frame_times times = sp_clip_frame_times(panel->clip);
    const double clip_s = p->lock_s[i] + since_s * slowdown_of(panel) + 1e-6;
    int low = 0, high = times.count - 1;
    while (low < high) {
        const int middle = low + (high - low + 1) / 2;
        if (times.seconds[middle] <= clip_s)
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

void sp_pair_clip_frames(const sp_pair_clip *p, double time_s, int frames[2]) {
    for (int i = 0; i < 2; i++) frames[i] = frame_at(p, i, real_at(p, time_s));
}

static int even(double length) { return 2 * (int)fmax(1.0, floor(length / 2.0)); }

static bool begin(sp_pair_clip *p, const sp_panel given[2], sp_error *error) {
    sp_panel panels[2] = {given[0], given[1]};
    for (int i = 0; i < 2; i++) {
        panels[i].moment = p->options.moment;
        panels[i].frame = sp_review_moment_frame(panels[i].review, p->options.moment);
        if (panels[i].frame < 0)
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "the %s review names no moment '%s'; name it in the window, or lock "
                           "the two at another",
                           i == 0 ? "first" : "second", p->options.moment);
        p->lock_s[i] = sp_clip_times(panels[i].clip)[panels[i].frame];
    }
    const sp_panels_options options = {.units = p->options.units, .path = p->options.path};
    char moving[160];
    snprintf(moving, sizeof moving, "%.3g times slower; both in real time from the %s. ",
             p->options.slow, p->options.moment);
    if (!sp_spread_begin(&p->spread, panels, 2, &options, moving, error)) return false;
    choose_span(p);
    const sp_size size = sp_spread_size(&p->spread);
    const double density = fmin(1.0, LONG_SIDE_MAX / fmax(size.width, size.height));
    p->facts.width = even(size.width * density);
    p->facts.height = p->facts.frame_height = even(size.height * density);
    return sp_picture_init(&p->picture, p->facts.width, p->facts.height, error) &&
           (p->paint = sp_paint_new(&p->picture, density, error)) != NULL;
}

sp_pair_clip *sp_pair_clip_new(const sp_panel panels[2], const sp_pair_options *options,
                               sp_error *error) {
    sp_pair_clip *p = calloc(1, sizeof *p);
    if (p == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to plan the clip");
        return NULL;
    }
    p->options = *options;
    if (!(p->options.slow > 0.0)) p->options.slow = SP_REEL_SLOW;
    if (p->options.hold_s == 0.0) p->options.hold_s = SP_REEL_HOLD_S;
    if (begin(p, panels, error)) return p;
    sp_pair_clip_free(p);
    return NULL;
}

void sp_pair_clip_free(sp_pair_clip *p) {
    if (p == NULL) return;
    sp_spread_end(&p->spread);
    sp_paint_free(p->paint);
    sp_picture_clear(&p->picture);
    free(p);
}

const sp_reel_facts *sp_pair_clip_get_facts(const sp_pair_clip *p) { return &p->facts; }

static const char *moment_of(const sp_review *review, int frame) {
    for (size_t i = 0; i < sp_review_moment_count(review); i++)
        if (sp_review_moment_at(review, i)->frame == frame)
            return sp_review_moment_at(review, i)->name;
    return NULL;
}

static bool draw(sp_pair_clip *p, const int frames[2], sp_error *error) {
    for (int i = 0; i < 2; i++) {
        const char *moment = moment_of(p->spread.panels[i].review, frames[i]);
        if (!sp_spread_turn(&p->spread, i, frames[i], moment, error)) return false;
    }
    sp_spread_draw(p->paint, &p->spread);
    return sp_paint_finish(p->paint, error);
}

static double tick_s(int tick) { return (double)tick / SP_PAIR_RATE; }

static bool same_at(const sp_pair_clip *p, int tick, const int frames[2]) {
    int then[2];
    sp_pair_clip_frames(p, tick_s(tick), then);
    return then[0] == frames[0] && then[1] == frames[1];
}

static bool write_all(sp_pair_clip *p, sp_encoder *encoder, sp_reel_told *told, void *whom,
                      sp_error *error) {
    const int ticks = (int)fmax(1.0, round(p->facts.duration_s * SP_PAIR_RATE));
    int drawn[2] = {-1, -1}, next;
    for (int tick = 0; tick < ticks; tick = next) {
        if (told != NULL && !told(whom, (double)tick / ticks))
            return sp_fail(error, SP_ERROR_CANCELLED, "given up: nothing was written");
        int frames[2];
        sp_pair_clip_frames(p, tick_s(tick), frames);
        const bool stands = frames[0] == drawn[0] && frames[1] == drawn[1];
        if (!stands && !draw(p, frames, error)) return false;
        for (int i = 0; i < 2; i++) drawn[i] = frames[i];
        next = tick + 1;
        while (next < ticks && next < tick + STAND_MAX_TICKS && same_at(p, next, frames)) next++;
        if (!sp_encoder_add(encoder, stands ? NULL : &p->picture, tick_s(tick), tick_s(next),
                            error))
            return false;
        p->facts.pictures++;
    }
    return sp_encoder_finish(encoder, error);
}

bool sp_pair_clip_write(sp_pair_clip *p, const char *path, sp_reel_told *told, void *whom,
                        sp_error *error) {
    const sp_encoder_options options = {
        .coding = p->options.coding, .width = p->facts.width, .height = p->facts.height};
    p->facts.pictures = 0;
    sp_encoder *encoder = sp_encoder_open(path, &options, error);
    const bool good = encoder != NULL && write_all(p, encoder, told, whom, error);
    sp_encoder_close(encoder);
    return good;
}
