#include "clip/shrink.h"

#include <string.h>

#include <libavutil/imgutils.h>

#include "clip/colour.h"

/* Bytes at a time, whole for each factor; the lines that are folded stay in the nearest cache. */
enum { BLOCK = 768, REACH = SP_SHRINK_MAX };

/* The mean of two, rounded up and rounded down, in the forms that compilers make vectors of. */
static void mean_up(const uint8_t *a, const uint8_t *b, int count, uint8_t *restrict to) {
    for (int x = 0; x < count; x++) to[x] = (uint8_t)((a[x] + b[x] + 1) >> 1);
}

static void mean_down(const uint8_t *a, const uint8_t *b, int count, uint8_t *restrict to) {
    for (int x = 0; x < count; x++) to[x] = (uint8_t)((a[x] & b[x]) + ((a[x] ^ b[x]) >> 1));
}

/* Of `factor` lines that lie `step` apart one: of three the middle one weighs double, which spares
 * a division and makes smooth edges; of an even number the halves are met. */
static void fold(const uint8_t *from, ptrdiff_t step, int factor, int count, uint8_t *to) {
    void (*const mean)(const uint8_t *, const uint8_t *, int, uint8_t *) =
        step == 1 ? mean_down : mean_up; /* across and down, so that it does not grow brighter */
    uint8_t one[BLOCK + REACH], other[BLOCK + REACH];
    if (factor == 2) {
        mean(from, from + step, count, to);
    } else if (factor == 3) {
        mean(from, from + 2 * step, count, one);
        mean(one, from + step, count, to);
    } else {
        fold(from, step, factor / 2, count, one);
        fold(from + factor / 2 * step, step, factor / 2, count, other);
        mean(one, other, count, to);
    }
}

static void shrink_row(const uint8_t *from, ptrdiff_t stride, int factor, int width, uint8_t *to) {
    const int wide = BLOCK / factor;
    uint8_t down[BLOCK + REACH] = {0}, across[BLOCK] = {0};
    for (int x = 0; x < width; x += wide) {
        const int count = width - x < wide ? width - x : wide;
        fold(from + (ptrdiff_t)x * factor, stride, factor, count * factor, down);
        fold(down, 1, factor, count * factor, across);
        if (factor == 2) {
            for (ptrdiff_t i = 0; i < count; i++) to[x + i] = across[2 * i]; /* in vectors */
        } else {
            for (ptrdiff_t i = 0; i < count; i++) to[x + i] = across[i * factor];
        }
    }
}

static void shrink_plane(const AVFrame *from, AVFrame *to, int plane, int factor) {
    const int shift = plane > 0;
    const int width = (to->width + shift) >> shift, height = (to->height + shift) >> shift;
    for (int y = 0; y < height; y++)
        shrink_row(from->data[plane] + (ptrdiff_t)y * factor * from->linesize[plane],
                   from->linesize[plane], factor, width,
                   to->data[plane] + (ptrdiff_t)y * to->linesize[plane]);
}

int sp_shrink_factor(int least) {
    static const int factors[] = {1, 2, 3, 4, 6};
    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++)
        if (factors[i] >= least) return factors[i];
    return SP_SHRINK_MAX;
}

static bool is_even(const AVFrame *from, int factor) {
    return sp_colour_plain_format((enum AVPixelFormat)from->format) == AV_PIX_FMT_YUV420P &&
           from->width % (2 * factor) == 0 && from->height % (2 * factor) == 0;
}

static bool scale(sp_shrink *shrink, const AVFrame *from, AVFrame *to) {
    const enum AVPixelFormat format = sp_colour_plain_format((enum AVPixelFormat)from->format);
    shrink->scaler =
        sws_getCachedContext(shrink->scaler, from->width, from->height, format, to->width,
                             to->height, AV_PIX_FMT_YUV420P, SWS_AREA, NULL, NULL, NULL);
    if (shrink->scaler == NULL) return false;
    const int *table = sws_getCoefficients((int)sp_colour_matrix(from));
    const int range = sp_colour_is_full_range(from), one = 1 << 16;
    sws_setColorspaceDetails(shrink->scaler, table, range, table, range, 0, one, one);
    return sws_scale(shrink->scaler, (const uint8_t *const *)from->data, from->linesize, 0,
                     from->height, to->data, to->linesize) == to->height;
}

/* What `to` held before is written over where it has the size. */
static bool give_room(AVFrame *to, int width, int height) {
    if (to->buf[0] != NULL && to->width == width && to->height == height &&
        av_frame_is_writable(to) > 0) {
        to->format = AV_PIX_FMT_YUV420P;
        return true;
    }
    av_frame_unref(to);
    to->width = width;
    to->height = height;
    to->format = AV_PIX_FMT_YUV420P;
    return av_frame_get_buffer(to, 0) >= 0;
}

bool sp_shrink_run(sp_shrink *shrink, const AVFrame *from, int factor, AVFrame *to) {
    const int width = from->width / factor > 0 ? from->width / factor : 1;
    const int height = from->height / factor > 0 ? from->height / factor : 1;
    if (!give_room(to, width, height)) return false;
    to->color_range = sp_colour_is_full_range(from) ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
    to->colorspace = sp_colour_matrix(from); /* the size no longer tells */
    to->color_trc = from->color_trc;
    to->color_primaries = from->color_primaries;
    to->chroma_location = from->chroma_location;
    if (factor == 1 || !is_even(from, factor)) return scale(shrink, from, to);
    for (int plane = 0; plane < 3; plane++) shrink_plane(from, to, plane, factor);
    return true;
}

void sp_shrink_clear(sp_shrink *shrink) {
    sws_freeContext(shrink->scaler);
    shrink->scaler = NULL;
}
