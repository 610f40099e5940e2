#include "clip/shrink.h"

#include <string.h>

#include <libavutil/imgutils.h>

#include "clip/colour.h"

/* Pixels summed at a time: of a constant number, so that compilers make vectors of them. */
enum { BLOCK = 192 };

/* Columns of `rows` rows. */
static void sum_columns(const uint8_t *from, ptrdiff_t stride, int rows, uint16_t sums[BLOCK]) {
    for (int x = 0; x < BLOCK; x++) sums[x] = from[x];
    for (int y = 1; y < rows; y++) {
        const uint8_t *row = from + y * stride;
        for (int x = 0; x < BLOCK; x++) sums[x] = (uint16_t)(sums[x] + row[x]);
    }
}

static void sum_few_columns(const uint8_t *from, ptrdiff_t stride, int rows, int width,
                            uint16_t sums[BLOCK]) {
    for (int x = 0; x < width; x++) {
        unsigned sum = 0;
        for (int y = 0; y < rows; y++) sum += from[y * stride + x];
        sums[x] = (uint16_t)sum;
    }
}

/* Two sums at a time: on machines of either byte order the halves are added. */
static void average_halves(const uint16_t sums[BLOCK], uint8_t out[BLOCK / 2]) {
    uint32_t pairs[BLOCK / 2];
    memcpy(pairs, sums, sizeof pairs);
    for (int x = 0; x < BLOCK / 2; x++)
        out[x] = (uint8_t)(((pairs[x] & 0xFFFF) + (pairs[x] >> 16) + 2) >> 2);
}

static void average_quarters(const uint16_t *sums, uint8_t out[BLOCK / 4]) {
    for (int x = 0; x < BLOCK / 4; x++, sums += 4)
        out[x] = (uint8_t)((sums[0] + sums[1] + sums[2] + sums[3] + 8) >> 4);
}

static void average(const uint16_t sums[BLOCK], int factor, int width, uint8_t *out) {
    const unsigned area = (unsigned)(factor * factor), inverse = (65536 + area / 2) / area;
    for (int x = 0; x < width; x++) {
        unsigned sum = area / 2;
        for (int i = 0; i < factor; i++) sum += sums[x * factor + i];
        const unsigned mean = sum * inverse >> 16;
        out[x] = (uint8_t)(mean < 255 ? mean : 255);
    }
}

static void shrink_row(const uint8_t *from, ptrdiff_t stride, int factor, int width, uint8_t *to) {
    const int wide = BLOCK / factor; /* whole for 1, 2, 3, 4, 6 and 8 */
    uint16_t sums[BLOCK] = {0};
    for (int x = 0; x < width; x += wide) {
        const int count = width - x < wide ? width - x : wide;
        const uint8_t *block = from + (ptrdiff_t)x * factor;
        if (count * factor == BLOCK) {
            sum_columns(block, stride, factor, sums);
        } else {
            sum_few_columns(block, stride, factor, count * factor, sums);
        }
        if (factor == 2 && count == wide) {
            average_halves(sums, to + x);
        } else if (factor == 4 && count == wide) {
            average_quarters(sums, to + x);
        } else {
            average(sums, factor, count, to + x);
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
    if (!is_even(from, factor)) return scale(shrink, from, to);
    for (int plane = 0; plane < 3; plane++) shrink_plane(from, to, plane, factor);
    return true;
}

void sp_shrink_clear(sp_shrink *shrink) {
    sws_freeContext(shrink->scaler);
    shrink->scaler = NULL;
}
