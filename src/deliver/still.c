#include "serveplumb/still.h"

#include <math.h>
#include <stdlib.h>

#include "base/file.h"
#include "deliver/caption.h"
#include "serveplumb/overlay.h"
#include "serveplumb/png.h"

/* Shorter side: below it, letters drawn at the picture's own pixels would be coarse. */
#define SHORT_SIDE 1080.0

typedef struct {
    sp_overlay overlay;
    sp_caption caption;
    int width, height; /* of the frame as it is drawn */
    double em, band;   /* of the caption: letters and height */
} sheet;

static double zoom_of(int width, int height) {
    const double shorter = width < height ? width : height;
    return fmax(1.0, SHORT_SIDE / shorter);
}

static sheet sheet_of(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                      const sp_still_options *options) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    const double zoom = zoom_of(facts->width, facts->height);
    sheet s = {.width = (int)lround(facts->width * zoom),
               .height = (int)lround(facts->height * zoom)};
    s.overlay = (sp_overlay){.review = review,
                             .readout = readout,
                             .theme = sp_theme_dark(),
                             .units = options->units,
                             .frame = options->frame,
                             .zoom = zoom,
                             .area = {0.0, 0.0, s.width, s.height},
                             .selected = -1,
                             .numbers = true,
                             .scale_bar = true};
    s.caption = (sp_caption){.review = review,
                             .readout = readout,
                             .moment = options->moment,
                             .frame = options->frame,
                             .clip_s = sp_clip_times(clip)[options->frame]};
    return s;
}

/* The frame as it is, then enlarged: a damaged one is drawn and said to be so. */
static bool read_frame(sp_clip *clip, int n, sp_picture *picture, bool *damaged, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    sp_frame *frame = sp_clip_frame(clip, n, error);
    if (frame == NULL) return false;
    *damaged = sp_frame_damaged(frame);
    const bool good = sp_picture_init(picture, facts->width, facts->height, error) &&
                      sp_frame_to_picture(frame, picture, error);
    if (!good) sp_picture_clear(picture);
    sp_frame_unref(frame);
    return good;
}

/* How large the letters are, which signs are shown and how high the band must be is known once it
 * is drawn: here on a single pixel. */
static bool rehearse(sheet *s, sp_error *error) {
    sp_picture pixel;
    if (!sp_picture_init(&pixel, 1, 1, error)) return false;
    sp_paint *paint = sp_paint_new(&pixel, 1.0, error);
    bool good = paint != NULL;
    if (good) {
        const sp_overlay_drawn drawn = sp_overlay_draw(paint, &s->overlay);
        s->caption.numbers = drawn.numbers;
        s->caption.projected = drawn.projected;
        s->em = drawn.text;
        s->band = ceil(sp_caption_height(paint, &s->caption, s->overlay.theme, s->width, s->em));
        good = sp_paint_finish(paint, error);
    }
    sp_paint_free(paint);
    sp_picture_clear(&pixel);
    return good;
}

static bool draw_sheet(const sheet *s, const sp_picture *frame, sp_picture *picture,
                       sp_error *error) {
    if (!sp_picture_init(picture, s->width, s->height + (int)s->band, error)) return false;
    sp_paint *paint = sp_paint_new(picture, 1.0, error);
    bool good = paint != NULL;
    if (good) {
        sp_paint_picture(paint, frame, (sp_rect){0.0, 0.0, frame->width, frame->height},
                         s->overlay.area, s->overlay.zoom != 1.0);
        sp_overlay_draw(paint, &s->overlay);
        sp_caption_draw(paint, &s->caption, s->overlay.theme,
                        (sp_rect){0.0, s->height, s->width, s->band}, s->em);
        good = sp_paint_finish(paint, error);
    }
    sp_paint_free(paint);
    if (!good) sp_picture_clear(picture);
    return good;
}

bool sp_still_draw(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                   const sp_still_options *options, sp_picture *picture, sp_error *error) {
    *picture = (sp_picture){0};
    const int frames = sp_clip_get_facts(clip)->frames;
    if (options->frame < 0 || options->frame >= frames)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "there is no frame %d in the clip: it has frames 0 to %d; name one of them",
                       options->frame, frames - 1);
    sheet s = sheet_of(clip, review, readout, options);
    sp_picture frame = {0};
    if (!read_frame(clip, options->frame, &frame, &s.caption.damaged, error)) return false;
    const bool good = rehearse(&s, error) && draw_sheet(&s, &frame, picture, error);
    sp_picture_clear(&frame);
    return good;
}

bool sp_still_write(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                    const sp_still_options *options, const char *path, sp_error *error) {
    sp_picture picture;
    if (!sp_still_draw(clip, review, readout, options, &picture, error)) return false;
    uint8_t *bytes = NULL;
    size_t length = 0;
    const bool good = sp_picture_encode_png(&picture, &bytes, &length, error) &&
                      sp_file_write(path, bytes, length, error);
    free(bytes);
    sp_picture_clear(&picture);
    return good;
}
