/* A clip's own samples under a drawn layer. Going over RGB and back costs as much as the coder. */
#include <string.h>

#include "clip/encode.h"
#include "clip/encode_layer.h"

bool sp_encoder_takes(const sp_frame *frame, const sp_clip_facts *facts) {
    sp_frame_planes planes;
    return !facts->mirrored && facts->aspect_num == facts->aspect_den &&
           sp_frame_get_planes(frame, &planes) && planes.matrix == SP_MATRIX_BT709;
}

/* One plane of 8-bit samples; its rows may run backward. */
typedef struct {
    const uint8_t *first;
    ptrdiff_t right, down; /* steps in the source for one step in the upright picture */
} walk;

static walk walk_of(const uint8_t *data, ptrdiff_t stride, int width, int height, int turn_deg) {
    switch (turn_deg) {
    case 90: return (walk){data + (height - 1) * stride, -stride, 1};
    case 180: return (walk){data + (height - 1) * stride + width - 1, -1, -stride};
    case 270: return (walk){data + width - 1, stride, -1};
    default: return (walk){data, 1, stride};
    }
}

/* In square blocks, so that columns read across rows stay in the processor's cache. */
static void turn(walk from, uint8_t *to, ptrdiff_t stride, int width, int height) {
    enum { BLOCK = 32 };
    for (int y0 = 0; y0 < height; y0 += BLOCK)
        for (int x0 = 0; x0 < width; x0 += BLOCK)
            for (int y = y0; y < y0 + BLOCK && y < height; y++) {
                const uint8_t *at = from.first + y * from.down;
                uint8_t *row = to + y * stride;
                for (int x = x0; x < x0 + BLOCK && x < width; x++) row[x] = at[x * from.right];
            }
}

static void place(const uint8_t *data, ptrdiff_t stride, int width, int height, int turn_deg,
                  uint8_t *to, ptrdiff_t to_stride) {
    const bool lying = turn_deg % 180 != 0;
    const walk from = walk_of(data, stride, width, height, turn_deg);
    if (turn_deg == 0) {
        for (int y = 0; y < height; y++)
            memcpy(to + y * to_stride, data + y * stride, (size_t)width);
    } else {
        turn(from, to, to_stride, lying ? height : width, lying ? width : height);
    }
}

static bool make_resized(sp_encoder *encoder, const sp_frame_planes *planes, int width, int height,
                         sp_error *error) {
    const enum AVPixelFormat from = planes->interleaved ? AV_PIX_FMT_NV12 : AV_PIX_FMT_YUV420P;
    encoder->resizer =
        sws_getCachedContext(encoder->resizer, planes->width, planes->height, from, width, height,
                             AV_PIX_FMT_YUV420P, SWS_BICUBIC | SWS_ACCURATE_RND, NULL, NULL, NULL);
    if (encoder->resizer == NULL) return sp_encode_fail(encoder, AVERROR(ENOMEM), error);
    if (encoder->resized != NULL) return true;
    encoder->resized = av_frame_alloc();
    if (encoder->resized == NULL) return sp_encode_fail(encoder, AVERROR(ENOMEM), error);
    encoder->resized->format = AV_PIX_FMT_YUV420P;
    encoder->resized->width = width;
    encoder->resized->height = height;
    const int code = av_frame_get_buffer(encoder->resized, 0);
    return code >= 0 || sp_encode_fail(encoder, code, error);
}

/* Gives the planes in the size they have before they are turned. */
static bool resize(sp_encoder *encoder, sp_frame_planes *planes, int width, int height,
                   sp_error *error) {
    if (!planes->interleaved && planes->width == width && planes->height == height) return true;
    if (!make_resized(encoder, planes, width, height, error)) return false;
    sws_scale(encoder->resizer, planes->data, planes->stride, 0, planes->height,
              encoder->resized->data, encoder->resized->linesize);
    for (int i = 0; i < 3; i++) {
        planes->data[i] = encoder->resized->data[i];
        planes->stride[i] = encoder->resized->linesize[i];
    }
    return true;
}

/* The band below the frame is opaque and changes little from frame to frame: a third of the pixels,
 * and most of the letters. The rows that are as they were are in the picture already. */
static bool blend_band(sp_encoder *encoder, const sp_encoder_frame *given, sp_error *error) {
    const sp_picture *layer = given->layer;
    const int height = layer->height - given->height;
    if (height <= 0) return true;
    if (encoder->band.pixels != NULL && encoder->band.height != height) {
        sp_picture_clear(&encoder->band);
        encoder->banded = false;
    }
    if (encoder->band.pixels == NULL &&
        !sp_picture_init(&encoder->band, layer->width, height, error))
        return false;
    const size_t bytes = (size_t)layer->width * 4;
    for (int y = 0; y < height; y += 2) {
        const uint8_t *now = layer->pixels + (size_t)(given->height + y) * layer->stride;
        uint8_t *before = encoder->band.pixels + (size_t)y * encoder->band.stride;
        const bool same = encoder->banded && memcmp(before, now, bytes) == 0 &&
                          memcmp(before + encoder->band.stride, now + layer->stride, bytes) == 0;
        if (same) continue;
        memcpy(before, now, bytes);
        memcpy(before + encoder->band.stride, now + layer->stride, bytes);
        sp_encode_layer_blend_rows(layer, given->height + y, encoder->picture);
    }
    encoder->banded = true;
    return true;
}

/* Only rows that hold something are written to. */
static void blend_over(sp_picture *layer, int height, AVFrame *to) {
    for (int y = 0; y < height; y += 2)
        if (sp_encode_layer_blend_rows(layer, y, to))
            memset(layer->pixels + (size_t)y * layer->stride, 0, 2 * layer->stride);
}

bool sp_encoder_add_frame(sp_encoder *encoder, const sp_encoder_frame *given, double from_s,
                          double to_s, sp_error *error) {
    sp_frame_planes planes;
    if (!sp_frame_get_planes(given->frame, &planes))
        return sp_fail(error, SP_ERROR_FORMAT,
                       "the samples of this frame cannot be taken as they "
                       "are; convert them first");
    const int turn_deg = given->facts->rotation_deg;
    const bool lying = turn_deg % 180 != 0;
    const int width = lying ? given->height : encoder->video->width;
    const int height = lying ? encoder->video->width : given->height;
    if (!resize(encoder, &planes, width, height, error)) return false;
    AVFrame *to = encoder->picture;
    const int code = av_frame_make_writable(to);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    for (int i = 0; i < 3; i++)
        place(planes.data[i], planes.stride[i], i == 0 ? width : width / 2,
              i == 0 ? height : height / 2, turn_deg, to->data[i], to->linesize[i]);
    blend_over(given->layer, given->height, to);
    return blend_band(encoder, given, error) && sp_encode_show(encoder, from_s, to_s, error);
}
