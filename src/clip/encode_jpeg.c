/* A picture as JPEG: a page of stills in PNG would be too large for a phone. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "clip/encode.h"

typedef struct {
    AVCodecContext *coder;
    AVFrame *frame;
    AVPacket *packet;
    struct SwsContext *scaler;
} press;

static void press_clear(press *p) {
    avcodec_free_context(&p->coder);
    av_frame_free(&p->frame);
    av_packet_free(&p->packet);
    sws_freeContext(p->scaler);
}

/* FFmpeg's coarseness runs from 2 (best) to 31. */
static int coarseness(int quality) { return 2 + (int)lround((100 - quality) * 29.0 / 99.0); }

static bool press_open(press *p, const sp_picture *picture, int quality) {
    const AVCodec *codec = avcodec_find_encoder(AV_CODEC_ID_MJPEG);
    p->coder = codec == NULL ? NULL : avcodec_alloc_context3(codec);
    p->frame = av_frame_alloc();
    p->packet = av_packet_alloc();
    if (p->coder == NULL || p->frame == NULL || p->packet == NULL) return false;
    p->coder->width = p->frame->width = picture->width;
    p->coder->height = p->frame->height = picture->height;
    p->coder->pix_fmt = AV_PIX_FMT_YUVJ444P; /* coloured lines and letters stay sharp */
    p->frame->format = p->coder->pix_fmt;
    p->coder->color_range = p->frame->color_range = AVCOL_RANGE_JPEG;
    p->coder->time_base = (AVRational){1, 25};
    p->coder->flags |= AV_CODEC_FLAG_QSCALE;
    p->coder->global_quality = coarseness(quality) * FF_QP2LAMBDA;
    p->frame->quality = p->coder->global_quality;
    p->scaler = sp_encode_scaler_new(picture->width, picture->height, AV_PIX_FMT_YUV444P, true);
    return p->scaler != NULL && av_frame_get_buffer(p->frame, 0) >= 0 &&
           avcodec_open2(p->coder, codec, NULL) >= 0;
}

static bool press_run(press *p, const sp_picture *picture) {
    const uint8_t *const planes[4] = {picture->pixels};
    const int strides[4] = {(int)picture->stride};
    return sws_scale(p->scaler, planes, strides, 0, picture->height, p->frame->data,
                     p->frame->linesize) == picture->height &&
           avcodec_send_frame(p->coder, p->frame) >= 0 &&
           avcodec_receive_packet(p->coder, p->packet) >= 0;
}

bool sp_picture_encode_jpeg(const sp_picture *picture, int quality, uint8_t **bytes, size_t *length,
                            sp_error *error) {
    av_log_set_level(AV_LOG_QUIET);
    press p = {0};
    *bytes = NULL;
    *length = 0;
    if (press_open(&p, picture, quality) && press_run(&p, picture)) {
        *bytes = malloc((size_t)p.packet->size);
        if (*bytes != NULL) {
            *length = (size_t)p.packet->size;
            memcpy(*bytes, p.packet->data, *length);
        }
    }
    press_clear(&p);
    return *bytes != NULL || sp_fail(error, SP_ERROR_MEMORY, "cannot make a JPEG of %d x %d pixels",
                                     picture->width, picture->height);
}
