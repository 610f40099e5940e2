#include "serveplumb/still.h"

#include <math.h>
#include <stdint.h>

#include "deliver/caption.h"
#include "deliver/frame_picture.h"
#include "deliver/sheet.h"
#include "serveplumb/overlay.h"

/* Shorter side: below it, letters drawn at the picture's own pixels would be coarse. */
#define SHORT_SIDE 1080.0

typedef struct {
    sp_overlay overlay;
    sp_caption caption;
    int width, height; /* of the frame as it is drawn */
    double em, band;   /* of the caption: letters and height */
    sp_picture frame;
} still;

static double zoom_of(int width, int height) {
    const double shorter = width < height ? width : height;
    return fmax(1.0, SHORT_SIDE / shorter);
}

static still still_of(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                      const sp_still_options *options) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    const double zoom = zoom_of(facts->width, facts->height);
    still s = {.width = (int)lround(facts->width * zoom),
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
                             .scale_bar = true,
                             .path = options->path};
    s.caption = (sp_caption){.review = review,
                             .readout = readout,
                             .findings = options->findings,
                             .moment = options->moment,
                             .frame = options->frame,
                             .clip_s = sp_clip_times(clip)[options->frame]};
    return s;
}

/* How large the letters are, which signs are shown and how high the band must be is known once it
 * is drawn: here on a single pixel. */
static bool rehearse(still *s, sp_error *error) {
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

static void draw(sp_paint *paint, const void *what) {
    const still *s = what;
    sp_paint_picture(paint, &s->frame, (sp_rect){0.0, 0.0, s->frame.width, s->frame.height},
                     s->overlay.area, s->overlay.zoom != 1.0);
    sp_overlay_draw(paint, &s->overlay);
    sp_caption_draw(paint, &s->caption, s->overlay.theme,
                    (sp_rect){0.0, s->height, s->width, s->band}, s->em);
}

typedef bool use_of_sheet(const sp_sheet *sheet, void *result, sp_error *error);

static bool has_frame(sp_clip *clip, int frame, sp_error *error) {
    const int frames = sp_clip_get_facts(clip)->frames;
    return (frame >= 0 && frame < frames) ||
           sp_fail(error, SP_ERROR_ARGUMENT,
                   "there is no frame %d in the clip: it has frames 0 to %d; name one of them",
                   frame, frames - 1);
}

static bool make(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                 const sp_still_options *options, use_of_sheet *use, void *result,
                 sp_error *error) {
    if (!has_frame(clip, options->frame, error)) return false;
    still s = still_of(clip, review, readout, options);
    if (!sp_frame_picture_read(clip, options->frame, &s.frame, &s.caption.damaged, error))
        return false;
    bool good = rehearse(&s, error);
    if (good) {
        const sp_sheet sheet = {
            .width = s.width, .height = s.height + s.band, .draw = draw, .what = &s};
        good = use(&sheet, result, error);
    }
    sp_picture_clear(&s.frame);
    return good;
}

static bool to_picture(const sp_sheet *sheet, void *result, sp_error *error) {
    return sp_sheet_to_picture(sheet, result, error);
}

static bool to_file(const sp_sheet *sheet, void *result, sp_error *error) {
    const char **path = result;
    return sp_sheet_write(sheet, *path, error);
}

bool sp_still_draw(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                   const sp_still_options *options, sp_picture *picture, sp_error *error) {
    *picture = (sp_picture){0};
    return make(clip, review, readout, options, to_picture, picture, error);
}

bool sp_still_write(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                    const sp_still_options *options, const char *path, sp_error *error) {
    return make(clip, review, readout, options, to_file, &path, error);
}

char *sp_still_detach_text(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                           const sp_still_options *options, sp_error *error) {
    if (!has_frame(clip, options->frame, error)) return NULL;
    const still s = still_of(clip, review, readout, options);
    char *text = sp_caption_detach_text(&s.caption);
    if (text == NULL) sp_fail(error, SP_ERROR_MEMORY, "no memory for the words of the still");
    return text;
}
