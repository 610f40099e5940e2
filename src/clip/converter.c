#include "clip/converter.h"

#include <assert.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include <libavutil/mem.h>
#include <libavutil/opt.h>
#include <libavutil/pixdesc.h>
#include <libswscale/swscale.h>

#include "clip/colour.h"
#include "clip/tone.h"

/* All that a scaler is set up for. */
typedef struct {
    int from_width, from_height, to_width, to_height;
    enum AVPixelFormat format, to_format;
    enum AVColorSpace matrix;
    enum AVChromaLocation chroma;
    bool full_range;
} set_up;

struct sp_converter {
    atomic_int references;
    int rotation_deg;
    bool mirrored;
    pthread_mutex_t lock; /* over what follows */
    struct SwsContext *scaler;
    set_up made_for;
    uint8_t *pixels; /* scaled, not yet turned */
    size_t room;
    sp_tone *tone; /* of the picture before, if it needed one */
};

sp_converter *sp_converter_new(int rotation_deg, bool mirrored) {
    sp_converter *converter = calloc(1, sizeof *converter);
    if (converter == NULL) return NULL;
    if (pthread_mutex_init(&converter->lock, NULL) != 0) {
        free(converter);
        return NULL;
    }
    converter->rotation_deg = rotation_deg;
    converter->mirrored = mirrored;
    atomic_init(&converter->references, 1);
    return converter;
}

sp_converter *sp_converter_ref(sp_converter *converter) {
    atomic_fetch_add_explicit(&converter->references, 1, memory_order_relaxed);
    return converter;
}

void sp_converter_unref(sp_converter *converter) {
    if (converter == NULL) return;
    if (atomic_fetch_sub_explicit(&converter->references, 1, memory_order_acq_rel) > 1) return;
    pthread_mutex_destroy(&converter->lock);
    sws_freeContext(converter->scaler);
    sp_tone_free(converter->tone);
    av_free(converter->pixels);
    free(converter);
}

static bool is_same(const set_up *a, const set_up *b) {
    return a->from_width == b->from_width && a->from_height == b->from_height &&
           a->to_width == b->to_width && a->to_height == b->to_height && a->format == b->format &&
           a->to_format == b->to_format && a->matrix == b->matrix && a->chroma == b->chroma &&
           a->full_range == b->full_range;
}

/* Where the chroma samples of 4:2:0 lie, in 1/256 of a luma step; left of the middle of two rows is
 * what H.264 and HEVC mean when they say nothing (ITU-T H.264, E.2.1). */
static void set_chroma(struct SwsContext *scaler, enum AVPixelFormat format,
                       enum AVChromaLocation chroma) {
    const AVPixFmtDescriptor *about = av_pix_fmt_desc_get(format);
    if (about == NULL || about->log2_chroma_w != 1 || about->log2_chroma_h != 1) return;
    const bool centred = chroma == AVCHROMA_LOC_CENTER || chroma == AVCHROMA_LOC_TOP;
    const bool top = chroma == AVCHROMA_LOC_TOPLEFT || chroma == AVCHROMA_LOC_TOP;
    av_opt_set_int(scaler, "src_h_chr_pos", centred ? 128 : 0, 0);
    av_opt_set_int(scaler, "src_v_chr_pos", top ? 0 : 128, 0);
}

static bool set_matrix(struct SwsContext *scaler, const set_up *wanted) {
    const int *table = sws_getCoefficients((int)wanted->matrix);
    const int even = 1 << 16; /* no brightness, contrast or saturation of ours */
    return sws_setColorspaceDetails(scaler, table, wanted->full_range, table, 1, 0, even, even) >=
               0 ||
           (av_pix_fmt_desc_get(wanted->format)->flags & AV_PIX_FMT_FLAG_RGB) != 0;
}

static struct SwsContext *make_scaler(const set_up *wanted) {
    struct SwsContext *scaler = sws_alloc_context();
    if (scaler == NULL) return NULL;
    av_opt_set_int(scaler, "srcw", wanted->from_width, 0);
    av_opt_set_int(scaler, "srch", wanted->from_height, 0);
    av_opt_set_int(scaler, "src_format", wanted->format, 0);
    av_opt_set_int(scaler, "src_range", wanted->full_range, 0);
    av_opt_set_int(scaler, "dstw", wanted->to_width, 0);
    av_opt_set_int(scaler, "dsth", wanted->to_height, 0);
    av_opt_set_int(scaler, "dst_format", wanted->to_format, 0);
    av_opt_set_int(scaler, "sws_flags",
                   SWS_BICUBIC | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT | SWS_FULL_CHR_H_INP, 0);
    set_chroma(scaler, wanted->format, wanted->chroma);
    if (sws_init_context(scaler, NULL, NULL) < 0 || !set_matrix(scaler, wanted)) {
        sws_freeContext(scaler);
        return NULL;
    }
    return scaler;
}

static bool prepare(sp_converter *converter, const set_up *wanted, size_t bytes) {
    if (converter->scaler == NULL || !is_same(wanted, &converter->made_for)) {
        sws_freeContext(converter->scaler);
        converter->scaler = make_scaler(wanted);
        converter->made_for = *wanted;
    }
    if (bytes > converter->room) {
        av_free(converter->pixels);
        converter->pixels = av_malloc(bytes);
        converter->room = converter->pixels != NULL ? bytes : 0;
    }
    return converter->scaler != NULL && converter->pixels != NULL;
}

/* Source steps for one step right and one step down in the upright picture, in pixels. */
typedef struct {
    ptrdiff_t first, right, down;
} walk;

static walk walk_of(const sp_converter *converter, ptrdiff_t stride, int width, int height) {
    ptrdiff_t right = 1, first = 0;
    if (converter->mirrored) right = -1, first = width - 1;
    const ptrdiff_t last_column = (width - 1) * right, last_row = (height - 1) * stride;
    switch (converter->rotation_deg) {
    case 90: return (walk){first + last_row, -stride, right};
    case 180: return (walk){first + last_row + last_column, -right, -stride};
    case 270: return (walk){first + last_column, stride, -right};
    default: return (walk){first, right, stride};
    }
}

/* In bands, so that columns read across the rows of a turned picture stay in the processor's cache.
 */
static void turn(const uint32_t *from, walk steps, sp_picture *to) {
    enum { BAND = 32 };
    for (int x0 = 0; x0 < to->width; x0 += BAND) {
        const int x1 = x0 + BAND < to->width ? x0 + BAND : to->width;
        for (int y = 0; y < to->height; y++) {
            uint32_t *row = (uint32_t *)(void *)(to->pixels + (size_t)y * to->stride);
            const uint32_t *at = from + steps.first + y * steps.down;
            for (int x = x0; x < x1; x++) row[x] = at[x * steps.right] | 0xFF000000u;
        }
    }
}

static bool prepare_tone(sp_converter *converter, sp_tone_kind kind) {
    if (converter->tone != NULL) {
        const sp_tone_kind there = sp_tone_get_kind(converter->tone);
        if (there.range == kind.range && there.gamut == kind.gamut) return true;
    }
    sp_tone_free(converter->tone);
    converter->tone = sp_tone_new(kind);
    return converter->tone != NULL;
}

/* What the scaler makes of white in 16 bits (measured with FFmpeg 5.1): the largest number of the
 * stored depth, shifted up; limited range becomes 255 in 8 bits, also shifted up. */
static int white_of(const set_up *wanted) {
    const AVPixFmtDescriptor *about = av_pix_fmt_desc_get(wanted->format);
    if ((about->flags & AV_PIX_FMT_FLAG_RGB) != 0) return 65535;
    const int depth = wanted->full_range ? about->comp[0].depth : 8;
    return depth <= 16 ? ((1 << depth) - 1) << (16 - depth) : 65535;
}

/* Each row in place: four bytes a pixel where six were. */
static void map_rows(const sp_converter *converter, ptrdiff_t stride, int width, int height) {
    const int white = white_of(&converter->made_for);
    for (int y = 0; y < height; y++) {
        uint8_t *row = converter->pixels + y * stride;
        sp_tone_row(converter->tone, (const uint16_t *)(const void *)row, white,
                    (uint32_t *)(void *)row, width);
    }
}

static set_up set_up_of(const AVFrame *from, int width, int height, bool plain) {
    return (set_up){.from_width = from->width,
                    .from_height = from->height,
                    .to_width = width,
                    .to_height = height,
                    .format = sp_colour_plain_format((enum AVPixelFormat)from->format),
                    .to_format = plain ? AV_PIX_FMT_RGB32 : AV_PIX_FMT_RGB48,
                    .matrix = sp_colour_matrix(from),
                    .chroma = from->chroma_location,
                    .full_range = sp_colour_is_full_range(from)};
}

static bool scale_and_turn(sp_converter *converter, const AVFrame *from, sp_picture *to) {
    const bool lying = converter->rotation_deg % 180 != 0;
    const int width = lying ? to->height : to->width, height = lying ? to->width : to->height;
    const sp_tone_kind kind = sp_tone_kind_of(from);
    const bool plain = sp_tone_is_plain(kind);
    const set_up wanted = set_up_of(from, width, height, plain);
    /* The scaler writes whole vectors. */
    const ptrdiff_t stride = ((ptrdiff_t)width + 15) / 16 * 16 * (plain ? 4 : 8);
    if (!prepare(converter, &wanted, (size_t)stride * (size_t)height + 64)) return false;
    if (!plain && !prepare_tone(converter, kind)) return false;
    uint8_t *const planes[4] = {converter->pixels};
    const int strides[4] = {(int)stride};
    const int rows = sws_scale(converter->scaler, (const uint8_t *const *)from->data,
                               from->linesize, 0, from->height, planes, strides);
    if (rows != height) return false;
    if (!plain) map_rows(converter, stride, width, height);
    turn((const uint32_t *)(const void *)converter->pixels,
         walk_of(converter, stride / 4, width, height), to);
    return true;
}

bool sp_converter_run(sp_converter *converter, const AVFrame *from, sp_picture *to,
                      sp_error *error) {
    assert(to->pixels != NULL);
    pthread_mutex_lock(&converter->lock);
    const bool good = scale_and_turn(converter, from, to);
    pthread_mutex_unlock(&converter->lock);
    return good || sp_fail(error, SP_ERROR_MEMORY,
                           "a picture of %d x %d pixels cannot be made from a frame of %d x %d; "
                           "close other programs or choose a smaller size",
                           to->width, to->height, from->width, from->height);
}
