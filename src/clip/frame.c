#include "clip/frame.h"

#include <assert.h>
#include <stdlib.h>

#include "clip/colour.h"
#include "clip/tone.h"
#include "serveplumb/frame_service.h"

sp_frame *sp_frame_new(AVFrame *picture, int number, sp_converter *converter) {
    sp_frame *frame = calloc(1, sizeof *frame);
    AVFrame *own = av_frame_alloc();
    if (frame == NULL || own == NULL) {
        free(frame);
        av_frame_free(&own);
        return NULL;
    }
    av_frame_move_ref(own, picture);
    frame->picture = own;
    frame->number = number;
    frame->converter = sp_converter_ref(converter);
    atomic_init(&frame->references, 1);
    atomic_init(&frame->damaged, false);
    return frame;
}

size_t sp_frame_bytes(const sp_frame *frame) {
    size_t bytes = sizeof *frame + sizeof *frame->picture;
    for (int i = 0; i < AV_NUM_DATA_POINTERS; i++)
        if (frame->picture->buf[i] != NULL) bytes += frame->picture->buf[i]->size;
    return bytes;
}

sp_frame *sp_frame_ref(sp_frame *frame) {
    atomic_fetch_add_explicit(&frame->references, 1, memory_order_relaxed);
    return frame;
}

void sp_frame_unref(sp_frame *frame) {
    if (frame == NULL) return;
    if (atomic_fetch_sub_explicit(&frame->references, 1, memory_order_acq_rel) > 1) return;
    av_frame_free(&frame->picture);
    sp_converter_unref(frame->converter);
    free(frame);
}

int sp_frame_number(const sp_frame *frame) { return frame->number; }

bool sp_frame_is_reduced(const sp_frame *frame) { return frame->reduced; }

bool sp_frame_damaged(const sp_frame *frame) { return atomic_load(&frame->damaged); }

bool sp_frame_to_picture(const sp_frame *frame, sp_picture *picture, sp_error *error) {
    return sp_converter_run(frame->converter, frame->picture, picture, error);
}

static bool is_bt601(enum AVColorSpace matrix) {
    return matrix == AVCOL_SPC_BT470BG || matrix == AVCOL_SPC_SMPTE170M;
}

static bool find_matrix(const AVFrame *picture, sp_matrix *matrix) {
    const enum AVColorSpace stored = sp_colour_matrix(picture);
    const bool full = sp_colour_is_full_range(picture);
    if (is_bt601(stored)) {
        *matrix = full ? SP_MATRIX_BT601_FULL : SP_MATRIX_BT601;
        return true;
    }
    *matrix = SP_MATRIX_BT709;
    return stored == AVCOL_SPC_BT709 && !full;
}

bool sp_frame_get_planes(const sp_frame *frame, sp_frame_planes *planes) {
    const AVFrame *picture = frame->picture;
    const enum AVPixelFormat format = sp_colour_plain_format((enum AVPixelFormat)picture->format);
    sp_matrix matrix;
    if (format != AV_PIX_FMT_YUV420P && format != AV_PIX_FMT_NV12) return false;
    if (!sp_tone_is_plain(sp_tone_kind_of(picture)) || !find_matrix(picture, &matrix)) return false;
    const int count = format == AV_PIX_FMT_NV12 ? 2 : 3;
    *planes = (sp_frame_planes){.width = picture->width,
                                .height = picture->height,
                                .interleaved = count == 2,
                                .matrix = matrix};
    for (int i = 0; i < count; i++) {
        if (picture->linesize[i] <= 0) return false;
        planes->data[i] = picture->data[i];
        planes->stride[i] = picture->linesize[i];
    }
    return true;
}
