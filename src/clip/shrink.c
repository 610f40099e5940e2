#include "clip/shrink.h"

#include <libavutil/imgutils.h>

#include "clip/colour.h"

static void average_halves(const uint8_t *from, ptrdiff_t stride, uint8_t *to, int width) {
    const uint8_t *below = from + stride;
    for (int x = 0; x < width; x++)
        to[x] =
            (uint8_t)((from[2 * x] + from[2 * x + 1] + below[2 * x] + below[2 * x + 1] + 2) / 4);
}

static void average_blocks(const uint8_t *from, ptrdiff_t stride, uint8_t *to, int width,
                           int factor) {
    const unsigned area = (unsigned)(factor * factor);
    for (int x = 0; x < width; x++) {
        unsigned sum = area / 2;
        for (int i = 0; i < factor; i++)
            for (int j = 0; j < factor; j++) sum += from[i * stride + x * factor + j];
        to[x] = (uint8_t)(sum / area);
    }
}

static void shrink_plane(const AVFrame *from, AVFrame *to, int plane, int factor) {
    const int shift = plane > 0;
    const int width = (to->width + shift) >> shift, height = (to->height + shift) >> shift;
    for (int y = 0; y < height; y++) {
        const ptrdiff_t stride = from->linesize[plane];
        const uint8_t *row = from->data[plane] + y * factor * stride;
        uint8_t *out = to->data[plane] + (ptrdiff_t)y * to->linesize[plane];
        if (factor == 2) {
            average_halves(row, stride, out, width);
        } else {
            average_blocks(row, stride, out, width, factor);
        }
    }
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

bool sp_shrink_run(sp_shrink *shrink, const AVFrame *from, int factor, AVFrame *to) {
    to->width = from->width / factor > 0 ? from->width / factor : 1;
    to->height = from->height / factor > 0 ? from->height / factor : 1;
    to->format = AV_PIX_FMT_YUV420P;
    if (av_frame_get_buffer(to, 0) < 0) return false;
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
