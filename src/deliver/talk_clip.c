#include "serveplumb/talk_clip.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "deliver/caption.h"
#include "deliver/frame_picture.h"
#include "deliver/talk_under.h"
#include "deliver/talk_voice.h"
#include "serveplumb/review_clip.h"

#define SHORT_SIDE 720.0
#define LONG_SIDE_MAX 1920.0
/* Some players give up on a picture that stands still for long. */
#define STAND_MAX_TICKS 3
#define SPOKEN_BYTES 256

/* What makes two pictures differ. */
typedef struct {
    int frame;
    sp_talk_state state;
} look;

struct sp_talk_clip {
    sp_clip *clip;
    const sp_review *review;
    const sp_readout *readout;
    const sp_talk *talk;
    sp_talk_clip_options options;
    sp_talk_voice voice;
    sp_talk_under under;
    sp_reel_facts facts;
    double zoom, em;
    bool numbers, projected, of_drop;
    struct {
        sp_picture picture;
        int frame; /* -1: none */
        bool damaged;
    } source;
    sp_picture picture;
    sp_paint *paint;
    look drawn;
    bool any_drawn;
};

int sp_talk_state_frame(const sp_talk_state *state, sp_frame_times times, double slowdown) {
    const double until = times.seconds[state->frame] + state->played_s * slowdown + 1e-9;
    int frame = state->frame;
    while (state->played_s > 0 && frame + 1 < times.count && times.seconds[frame + 1] <= until)
        frame++;
    return frame;
}

static look look_at(const sp_talk_clip *t, double time_s) {
    look at = {.frame = 0};
    if (sp_talk_state_at(t->talk, time_s, &at.state))
        at.frame = sp_talk_state_frame(&at.state, sp_clip_frame_times(t->clip),
                                       sp_review_get_clip(t->review)->slowdown);
    return at;
}

static bool same_marks(const sp_talk_state *a, const sp_talk_state *b) {
    if (a->mark_count != b->mark_count) return false;
    for (size_t i = 0; i < a->mark_count; i++)
        if (a->marks[i].ink != b->marks[i].ink || a->marks[i].share != b->marks[i].share)
            return false;
    return true;
}

static bool same_look(const look *a, const look *b) {
    return a->frame == b->frame && a->state.middle.x == b->state.middle.x &&
           a->state.middle.y == b->state.middle.y && a->state.zoom == b->state.zoom &&
           a->state.overlay == b->state.overlay && a->state.measure == b->state.measure &&
           same_marks(&a->state, &b->state);
}

static const char *moment_of(const sp_review *review, int frame) {
    for (size_t i = 0; i < sp_review_moment_count(review); i++)
        if (sp_review_moment_at(review, i)->frame == frame)
            return sp_review_moment_at(review, i)->name;
    return NULL;
}

/* The measure with its interval, or why there is none. */
static void spoken_of(const sp_talk_clip *t, const char *id, const char *moment,
                      char text[SPOKEN_BYTES]) {
    text[0] = '\0';
    const sp_measure *m = id[0] == '\0' ? NULL : sp_readout_find(t->readout, id, moment);
    char value[128];
    if (m == NULL) return;
    sp_measure_text(m, t->options.units, value, sizeof value);
    snprintf(text, SPOKEN_BYTES, "%s: %s%s", m->kind->title,
             m->status == SP_STATUS_PROJECTED ? SP_OVERLAY_PROJECTED_SIGN " " : "", value);
}

static sp_caption caption_of(const sp_talk_clip *t, int frame, bool damaged, const char *spoken) {
    return (sp_caption){.review = t->review,
                        .readout = t->readout,
                        .moment = moment_of(t->review, frame),
                        .frame = frame,
                        .clip_s = sp_clip_times(t->clip)[frame],
                        .damaged = damaged,
                        .numbers = t->numbers,
                        .projected = t->projected,
                        .of_drop = t->of_drop,
                        .spoken = spoken};
}

static sp_overlay overlay_of(const sp_talk_clip *t, const look *at, sp_overlay_ink *inks) {
    const sp_talk_state *s = &at->state;
    const double zoom = t->zoom * s->zoom;
    const sp_rect area = {0.0, 0.0, t->facts.width, t->facts.frame_height};
    for (size_t i = 0; i < s->mark_count; i++)
        inks[i] = (sp_overlay_ink){.ink = s->marks[i].ink, .share = s->marks[i].share};
    return (sp_overlay){.review = t->review,
                        .readout = t->readout,
                        .theme = sp_theme_dark(),
                        .units = t->options.units,
                        .frame = at->frame,
                        .origin_x = area.width / 2.0 - s->middle.x * zoom,
                        .origin_y = area.height / 2.0 - s->middle.y * zoom,
                        .zoom = zoom,
                        .area = area,
                        .selected = -1,
                        .numbers = true,
                        .scale_bar = true,
                        .ink = inks,
                        .ink_count = s->mark_count,
                        .only_ink = !s->overlay};
}

/* --- sizes ----------------------------------------------------------------------------------- */

static double caption_height(sp_talk_clip *t, sp_paint *paint, int frame, const char *spoken) {
    const sp_caption caption = caption_of(t, frame, false, spoken);
    return sp_caption_height(paint, &caption, sp_theme_dark(), t->facts.width, t->em);
}

/* The largest band of all that is shown: then it never jumps. */
static double highest_band(sp_talk_clip *t, sp_paint *paint) {
    double band = caption_height(t, paint, 0, "");
    for (size_t i = 0; i < sp_review_moment_count(t->review); i++)
        band = fmax(band, caption_height(t, paint, sp_review_moment_at(t->review, i)->frame, ""));
    double spoken = 0.0;
    for (size_t take = 0; take < sp_talk_take_count(t->talk); take++)
        for (size_t i = 0; i < sp_talk_take_at(t->talk, take)->count; i++) {
            const sp_talk_action *a = sp_talk_action_at(t->talk, take, i);
            char text[SPOKEN_BYTES];
            if (a->kind != SP_TALK_MEASURE) continue;
            spoken_of(t, a->measure, a->moment, text);
            spoken =
                fmax(spoken, caption_height(t, paint, 0, text) - caption_height(t, paint, 0, ""));
        }
    return ceil(band + spoken);
}

static double rehearse(sp_talk_clip *t, sp_paint *paint) {
    sp_overlay_ink inks[SP_TALK_MARKS_MAX];
    look at = look_at(t, 0.0);
    at.state.mark_count = 0;
    for (size_t i = 0; i <= sp_review_moment_count(t->review); i++) {
        if (i > 0) at.frame = sp_review_moment_at(t->review, i - 1)->frame;
        const sp_overlay overlay = overlay_of(t, &at, inks);
        const sp_overlay_drawn drawn = sp_overlay_draw(paint, &overlay);
        t->em = drawn.text;
        t->numbers = t->numbers || drawn.numbers;
        t->projected = t->projected || drawn.projected;
    }
    t->of_drop = sp_review_moment_frame(t->review, "drop") >= 0;
    return highest_band(t, paint);
}

static int even(double length) { return 2 * (int)fmax(1.0, round(length / 2.0)); }

static bool fit(sp_talk_clip *t, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(t->clip);
    sp_picture pixel;
    if (!sp_picture_init(&pixel, 1, 1, error)) return false;
    sp_paint *paint = sp_paint_new(&pixel, 1.0, error);
    bool good = paint != NULL;
    t->zoom = fmax(1.0, SHORT_SIDE / fmin(facts->width, facts->height));
    for (int round = 0; good && round < 6; round++) {
        t->facts.width = even(facts->width * t->zoom);
        t->facts.frame_height = even(facts->height * t->zoom);
        t->facts.height = t->facts.frame_height + 2 * (int)ceil(rehearse(t, paint) / 2.0);
        const double longest = fmax(t->facts.width, t->facts.height);
        if (longest <= LONG_SIDE_MAX) break;
        t->zoom *= fmin(0.995, LONG_SIDE_MAX / longest);
    }
    if (good) good = sp_paint_finish(paint, error);
    sp_paint_free(paint);
    sp_picture_clear(&pixel);
    return good;
}

static int ticks_of(const sp_talk_clip *t) {
    return (int)fmax(1.0, round(t->facts.duration_s * SP_TALK_RATE));
}

static bool open_under(sp_talk_clip *t, sp_error *error) {
    if (t->options.clip_path == NULL) return true;
    t->facts.sound = true;
    return sp_talk_under_open(&t->under, t->talk, t->clip, t->options.clip_path,
                              sp_review_get_clip(t->review)->slowdown, SP_TALK_UNDER_LEVEL, error);
}

static bool prepare(sp_talk_clip *t, const char *talk_path, sp_error *error) {
    t->facts.duration_s = sp_talk_length_s(t->talk);
    if (sp_talk_piece_count(t->talk) == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "nothing is recorded in '%s' yet; record in the window first", talk_path);
    return sp_talk_voice_open(&t->voice, t->talk, talk_path, &t->facts.sound, error) &&
           open_under(t, error) && fit(t, error) &&
           sp_picture_init(&t->picture, t->facts.width, t->facts.height, error) &&
           (t->paint = sp_paint_new(&t->picture, 1.0, error)) != NULL;
}

sp_talk_clip *sp_talk_clip_new(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                               const sp_talk *talk, const char *talk_path,
                               const sp_talk_clip_options *options, sp_error *error) {
    sp_talk_clip *t = calloc(1, sizeof *t);
    if (t == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to draw the talk-through");
        return NULL;
    }
    *t = (sp_talk_clip){.clip = clip,
                        .review = review,
                        .readout = readout,
                        .talk = talk,
                        .options = *options,
                        .source.frame = -1};
    if (prepare(t, talk_path, error)) return t;
    sp_talk_clip_free(t);
    return NULL;
}

void sp_talk_clip_free(sp_talk_clip *t) {
    if (t == NULL) return;
    sp_talk_voice_close(&t->voice);
    sp_talk_under_close(&t->under);
    sp_paint_free(t->paint);
    sp_picture_clear(&t->picture);
    sp_picture_clear(&t->source.picture);
    free(t);
}

const sp_reel_facts *sp_talk_clip_get_facts(const sp_talk_clip *t) { return &t->facts; }

/* --- drawing --------------------------------------------------------------------------------- */

static bool read_source(sp_talk_clip *t, int frame, sp_error *error) {
    if (t->source.frame == frame) return true;
    sp_picture_clear(&t->source.picture);
    t->source.frame = -1;
    if (!sp_frame_picture_read(t->clip, frame, &t->source.picture, &t->source.damaged, error))
        return false;
    t->source.frame = frame;
    return true;
}

/* The part of the frame that is in view. */
static void paint_frame(sp_talk_clip *t, const sp_overlay *o) {
    const double left = fmax(0.0, -o->origin_x / o->zoom), top = fmax(0.0, -o->origin_y / o->zoom);
    const double right = fmin(t->source.picture.width, (o->area.width - o->origin_x) / o->zoom);
    const double bottom = fmin(t->source.picture.height, (o->area.height - o->origin_y) / o->zoom);
    sp_paint_fill_rect(t->paint, o->area, 0.0, o->theme->room);
    if (right <= left || bottom <= top) return;
    const sp_rect source = {left, top, right - left, bottom - top};
    const sp_rect target = {o->origin_x + left * o->zoom, o->origin_y + top * o->zoom,
                            source.width * o->zoom, source.height * o->zoom};
    sp_paint_picture(t->paint, &t->source.picture, source, target, o->zoom != 1.0);
}

static bool draw(sp_talk_clip *t, const look *at, sp_error *error) {
    if (!read_source(t, at->frame, error)) return false;
    sp_overlay_ink inks[SP_TALK_MARKS_MAX];
    char spoken[SPOKEN_BYTES];
    const sp_overlay overlay = overlay_of(t, at, inks);
    spoken_of(t, at->state.measure, at->state.moment, spoken);
    const sp_caption caption = caption_of(t, at->frame, t->source.damaged, spoken);
    const sp_rect band = {0.0, t->facts.frame_height, t->facts.width,
                          t->facts.height - t->facts.frame_height};
    sp_paint_save(t->paint);
    sp_paint_clip(t->paint, overlay.area);
    paint_frame(t, &overlay);
    sp_paint_restore(t->paint);
    sp_overlay_draw(t->paint, &overlay);
    sp_caption_draw(t->paint, &caption, overlay.theme, band, t->em);
    t->any_drawn = sp_paint_finish(t->paint, error);
    t->drawn = *at;
    return t->any_drawn;
}

const sp_picture *sp_talk_clip_draw(sp_talk_clip *t, double time_s, sp_error *error) {
    const look at = look_at(t, time_s);
    if (t->any_drawn && same_look(&at, &t->drawn)) return &t->picture;
    return draw(t, &at, error) ? &t->picture : NULL;
}

/* --- writing --------------------------------------------------------------------------------- */

static double tick_s(int tick) { return (double)tick / SP_TALK_RATE; }

/* An action is shown on the tick nearest to it. */
static look look_on(const sp_talk_clip *t, int tick) {
    return look_at(t, fmin(tick_s(tick) + 0.5 / SP_TALK_RATE, t->facts.duration_s - 1e-6));
}

static bool write_sound(sp_talk_clip *t, int64_t *written, double until_s, sp_encoder *encoder,
                        sp_error *error) {
    float samples[SP_VOICE_RATE / SP_TALK_RATE * (STAND_MAX_TICKS + 1)];
    const size_t most = sizeof samples / sizeof samples[0];
    const int64_t end = llround(until_s * SP_ENCODER_SOUND_RATE);
    while (*written < end) {
        const int64_t left = end - *written;
        const size_t count = left < (int64_t)most ? (size_t)left : most;
        if (!sp_talk_voice_copy(&t->voice, *written, count, samples, error) ||
            !sp_talk_under_add(&t->under, *written, count, samples, error) ||
            !sp_encoder_add_sound(encoder, samples, count, error))
            return false;
        *written += (int64_t)count;
    }
    return true;
}

/* From one change to the next, or as long as a picture may stand. */
static int next_tick(const sp_talk_clip *t, const look *at, int tick, int ticks) {
    int next = tick + 1;
    for (; next < ticks && next < tick + STAND_MAX_TICKS; next++) {
        const look then = look_on(t, next);
        if (!same_look(at, &then)) break;
    }
    return next;
}

static bool write_all(sp_talk_clip *t, sp_encoder *encoder, sp_reel_told *told, void *whom,
                      sp_error *error) {
    const int ticks = ticks_of(t);
    int64_t written = 0;
    for (int tick = 0, next; tick < ticks; tick = next) {
        if (told != NULL && !told(whom, (double)tick / ticks))
            return sp_fail(error, SP_ERROR_CANCELLED, "given up: nothing was written");
        const look at = look_on(t, tick);
        next = next_tick(t, &at, tick, ticks);
        const bool stands = t->any_drawn && tick > 0 && same_look(&at, &t->drawn);
        if (!stands && !draw(t, &at, error)) return false;
        if (!sp_encoder_add(encoder, stands ? NULL : &t->picture, tick_s(tick), tick_s(next),
                            error))
            return false;
        t->facts.pictures++;
        if (t->facts.sound && !write_sound(t, &written, tick_s(next), encoder, error)) return false;
    }
    return sp_encoder_finish(encoder, error);
}

bool sp_talk_clip_write(sp_talk_clip *t, const char *path, sp_reel_told *told, void *whom,
                        sp_error *error) {
    const sp_encoder_options options = {.coding = t->options.coding,
                                        .width = t->facts.width,
                                        .height = t->facts.height,
                                        .sound_channels = t->facts.sound ? 1 : 0};
    t->facts.pictures = 0;
    t->any_drawn = false;
    sp_encoder *encoder = sp_encoder_open(path, &options, error);
    const bool good = encoder != NULL && write_all(t, encoder, told, whom, error);
    sp_encoder_close(encoder);
    return good;
}
