#include "serveplumb/reel.h"

#include <math.h>
#include <stdlib.h>

#include "deliver/caption.h"
#include "deliver/reel_plan.h"
#include "deliver/reel_sound.h"

/* Letters below this would be coarse; beyond it phones give up. */
#define SHORT_SIDE 720.0
#define LONG_SIDE_MAX 1920.0

struct sp_reel {
    sp_clip *clip;
    const sp_review *review;
    const sp_readout *readout;
    sp_reel_options options;
    sp_reel_plan plan;
    sp_reel_facts facts;
    double pace; /* seconds of the reel for one of the clip */
    double zoom, em;
    bool numbers, projected, of_drop; /* of any frame of the span: the band keeps its lines */
    /* A frame with its overlay, and the overlay alone. */
    struct {
        sp_picture picture;
        sp_paint *paint;
    } whole, layer;
    int drawn; /* frame in `whole`; -1: none */
};

static const char *moment_of(const sp_review *review, int frame) {
    for (size_t i = 0; i < sp_review_moment_count(review); i++)
        if (sp_review_moment_at(review, i)->frame == frame)
            return sp_review_moment_at(review, i)->name;
    return NULL;
}

static sp_overlay overlay_of(const sp_reel *reel, int frame) {
    const sp_rect area = {0.0, 0.0, reel->facts.width, reel->facts.frame_height};
    return (sp_overlay){.review = reel->review,
                        .readout = reel->readout,
                        .theme = sp_theme_dark(),
                        .units = reel->options.units,
                        .frame = frame,
                        .zoom = reel->zoom,
                        .area = area,
                        .selected = -1,
                        .numbers = true,
                        .scale_bar = true,
                        .path = reel->options.path};
}

static sp_caption caption_of(const sp_reel *reel, int frame, bool damaged) {
    return (sp_caption){.review = reel->review,
                        .readout = reel->readout,
                        .moment = moment_of(reel->review, frame),
                        .frame = frame,
                        .clip_s = sp_clip_times(reel->clip)[frame],
                        .damaged = damaged,
                        .numbers = reel->numbers,
                        .projected = reel->projected,
                        .of_drop = reel->of_drop,
                        .slower = reel->pace * sp_review_get_clip(reel->review)->slowdown};
}

static bool in_span(const sp_reel *reel, int frame) {
    return frame >= reel->options.first && frame <= reel->options.last;
}

/* What the moments of the span show, and the band's height: the same for all frames. */
static double rehearse(sp_reel *reel, sp_paint *paint) {
    const sp_theme *theme = sp_theme_dark();
    const int drop = sp_review_moment_frame(reel->review, "drop");
    reel->of_drop = drop >= 0 && in_span(reel, drop);
    const sp_overlay first = overlay_of(reel, reel->options.first);
    reel->em = sp_overlay_draw(paint, &first).text;
    double band = 0.0;
    for (int pass = 0; pass < 2; pass++) { /* first what is shown, then how high it is */
        for (size_t i = 0; i < sp_review_moment_count(reel->review); i++) {
            const int frame = sp_review_moment_at(reel->review, i)->frame;
            if (!in_span(reel, frame)) continue;
            const sp_overlay overlay = overlay_of(reel, frame);
            const sp_overlay_drawn drawn = sp_overlay_draw(paint, &overlay);
            reel->numbers = reel->numbers || drawn.numbers;
            reel->projected = reel->projected || drawn.projected;
            const sp_caption caption = caption_of(reel, frame, false);
            band =
                fmax(band, sp_caption_height(paint, &caption, theme, reel->facts.width, reel->em));
        }
        const sp_caption plain = caption_of(reel, reel->options.first, false);
        band = fmax(band, sp_caption_height(paint, &plain, theme, reel->facts.width, reel->em));
    }
    return ceil(band);
}

static int even(double length) { return 2 * (int)fmax(1.0, round(length / 2.0)); }

/* Letters depend on the size and the band on the letters: a few rounds settle it. */
static bool fit(sp_reel *reel, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(reel->clip);
    sp_picture pixel;
    if (!sp_picture_init(&pixel, 1, 1, error)) return false;
    sp_paint *paint = sp_paint_new(&pixel, 1.0, error);
    bool good = paint != NULL;
    reel->zoom = fmax(1.0, SHORT_SIDE / fmin(facts->width, facts->height));
    for (int round = 0; good && round < 6; round++) {
        reel->facts.width = even(facts->width * reel->zoom);
        reel->facts.frame_height = even(facts->height * reel->zoom);
        reel->facts.height = reel->facts.frame_height + 2 * (int)ceil(rehearse(reel, paint) / 2.0);
        const double longest = fmax(reel->facts.width, reel->facts.height);
        if (longest <= LONG_SIDE_MAX) break;
        reel->zoom *= fmin(0.995, LONG_SIDE_MAX / longest);
    }
    if (good) good = sp_paint_finish(paint, error);
    sp_paint_free(paint);
    sp_picture_clear(&pixel);
    return good;
}

static bool make_plan(sp_reel *reel, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(reel->clip);
    const sp_reel_span span = {.times = sp_clip_times(reel->clip),
                               .frames = facts->frames,
                               .end_s = facts->duration_s,
                               .first = reel->options.first,
                               .last = reel->options.last,
                               .pace = reel->pace,
                               .hold_s = fmax(0.0, reel->options.hold_s),
                               .review = reel->review};
    if (!sp_reel_plan_make(&span, &reel->plan))
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to plan the clip");
    reel->facts.pictures = reel->plan.pictures;
    reel->facts.duration_s = reel->plan.duration_s;
    reel->facts.sound =
        facts->sound && reel->options.clip_path != NULL && fabs(reel->pace - 1.0) < 1e-6;
    return true;
}

static bool check_span(const sp_clip *clip, const sp_reel_options *options, sp_error *error) {
    const int frames = sp_clip_get_facts(clip)->frames;
    if (options->first < 0 || options->last >= frames)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "frames %d to %d are not all in the clip: it has frames 0 to %d",
                       options->first, options->last, frames - 1);
    return options->first <= options->last ||
           sp_fail(error, SP_ERROR_ARGUMENT, "the span ends at frame %d, before it begins at %d",
                   options->last, options->first);
}

sp_reel *sp_reel_new(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                     const sp_reel_options *options, sp_error *error) {
    if (!check_span(clip, options, error)) return NULL;
    sp_reel *reel = calloc(1, sizeof *reel);
    if (reel == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to plan the clip");
        return NULL;
    }
    *reel = (sp_reel){
        .clip = clip, .review = review, .readout = readout, .options = *options, .drawn = -1};
    if (!(reel->options.slow > 0.0)) reel->options.slow = SP_REEL_SLOW;
    if (reel->options.hold_s == 0.0) reel->options.hold_s = SP_REEL_HOLD_S;
    reel->pace = reel->options.slow / sp_review_get_clip(review)->slowdown;
    const bool good =
        make_plan(reel, error) && fit(reel, error) &&
        sp_picture_init(&reel->whole.picture, reel->facts.width, reel->facts.height, error) &&
        sp_picture_init(&reel->layer.picture, reel->facts.width, reel->facts.height, error) &&
        (reel->whole.paint = sp_paint_new(&reel->whole.picture, 1.0, error)) != NULL &&
        (reel->layer.paint = sp_paint_new(&reel->layer.picture, 1.0, error)) != NULL;
    if (good) return reel;
    sp_reel_free(reel);
    return NULL;
}

void sp_reel_free(sp_reel *reel) {
    if (reel == NULL) return;
    sp_paint_free(reel->whole.paint);
    sp_paint_free(reel->layer.paint);
    sp_picture_clear(&reel->whole.picture);
    sp_picture_clear(&reel->layer.picture);
    free(reel->plan.shots);
    free(reel);
}

const sp_reel_facts *sp_reel_get_facts(const sp_reel *reel) { return &reel->facts; }

static bool draw_over(sp_reel *reel, sp_paint *paint, const sp_frame *frame, sp_error *error) {
    const int n = sp_frame_number(frame);
    const sp_overlay overlay = overlay_of(reel, n);
    const sp_caption caption = caption_of(reel, n, sp_frame_damaged(frame));
    const sp_rect band = {0.0, reel->facts.frame_height, reel->facts.width,
                          reel->facts.height - reel->facts.frame_height};
    sp_overlay_draw(paint, &overlay);
    sp_caption_draw(paint, &caption, overlay.theme, band, reel->em);
    return sp_paint_finish(paint, error);
}

static bool draw_whole(sp_reel *reel, const sp_frame *frame, sp_error *error) {
    sp_picture upper = reel->whole.picture; /* its rows above the band */
    upper.height = reel->facts.frame_height;
    reel->drawn = -1;
    if (!sp_frame_to_picture(frame, &upper, error)) return false;
    if (!draw_over(reel, reel->whole.paint, frame, error)) return false;
    reel->drawn = sp_frame_number(frame);
    return true;
}

const sp_picture *sp_reel_draw(sp_reel *reel, int n, sp_error *error) {
    if (n == reel->drawn) return &reel->whole.picture;
    sp_frame *frame = sp_clip_frame(reel->clip, n, error);
    if (frame == NULL) return NULL;
    const bool good = draw_whole(reel, frame, error);
    sp_frame_unref(frame);
    return good ? &reel->whole.picture : NULL;
}

static bool encode_frame(sp_reel *reel, const sp_frame *frame, sp_encoder *encoder, double from_s,
                         double to_s, sp_error *error) {
    const sp_encoder_frame taken = {.frame = frame,
                                    .facts = sp_clip_get_facts(reel->clip),
                                    .height = reel->facts.frame_height,
                                    .layer = &reel->layer.picture};
    if (!sp_encoder_takes(frame, taken.facts))
        return draw_whole(reel, frame, error) &&
               sp_encoder_add(encoder, &reel->whole.picture, from_s, to_s, error);
    return draw_over(reel, reel->layer.paint, frame, error) &&
           sp_encoder_add_frame(encoder, &taken, from_s, to_s, error);
}

/* The pictures of one shot: the first is new, the others show it on. */
static bool write_shot(sp_reel *reel, const sp_shot *shot, sp_encoder *encoder, sp_error *error) {
    const int count = sp_shot_pictures(shot);
    const double step = (shot->to_s - shot->from_s) / count;
    const double first_to = count == 1 ? shot->to_s : shot->from_s + step;
    sp_frame *frame = sp_clip_frame(reel->clip, shot->frame, error);
    if (frame == NULL) return false;
    bool good = encode_frame(reel, frame, encoder, shot->from_s, first_to, error);
    sp_frame_unref(frame);
    for (int i = 1; good && i < count; i++) {
        const double from = shot->from_s + i * step;
        good =
            sp_encoder_add(encoder, NULL, from, i + 1 == count ? shot->to_s : from + step, error);
    }
    return good;
}

static bool write_all(sp_reel *reel, sp_encoder *encoder, sp_reel_sound *sound, sp_reel_told *told,
                      void *whom, sp_error *error) {
    for (int i = 0; i < reel->plan.count; i++) {
        const sp_shot *shot = &reel->plan.shots[i];
        if (told != NULL && !told(whom, shot->from_s / reel->plan.duration_s))
            return sp_fail(error, SP_ERROR_CANCELLED, "given up: nothing was written");
        if (!write_shot(reel, shot, encoder, error)) return false;
        if (reel->facts.sound && !sp_reel_sound_write(sound, shot, encoder, error)) return false;
    }
    return sp_encoder_finish(encoder, error);
}

bool sp_reel_write(sp_reel *reel, const char *path, sp_reel_told *told, void *whom,
                   sp_error *error) {
    sp_reel_sound sound = {0};
    if (reel->facts.sound &&
        !sp_reel_sound_open(&sound, reel->options.clip_path, reel->clip, error))
        return false;
    const sp_encoder_options options = {.coding = reel->options.coding,
                                        .width = reel->facts.width,
                                        .height = reel->facts.height,
                                        .sound_channels = sound.channels};
    sp_encoder *encoder = sp_encoder_open(path, &options, error);
    const bool good = encoder != NULL && write_all(reel, encoder, &sound, told, whom, error);
    sp_encoder_close(encoder);
    sp_reel_sound_close(&sound);
    return good;
}
