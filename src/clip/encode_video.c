/* The pictures of an encoder. */
#include <assert.h>
#include <math.h>
#include <unistd.h>

#include <libavutil/opt.h>

#include "clip/encode.h"
#include "clip/moved.h"

struct SwsContext *sp_encode_scaler_new(int width, int height, enum AVPixelFormat to,
                                        bool full_range) {
    struct SwsContext *scaler = sws_getContext(width, height, AV_PIX_FMT_RGB32, width, height, to,
                                               SWS_BILINEAR | SWS_ACCURATE_RND, NULL, NULL, NULL);
    if (scaler == NULL) return NULL;
    const int *matrix =
        sws_getCoefficients(full_range ? SWS_CS_ITU601 : SWS_CS_ITU709); /* JFIF is BT.601 */
    const int even = 1 << 16; /* no brightness, contrast or saturation of ours */
    if (sws_setColorspaceDetails(scaler, matrix, 1, matrix, full_range, 0, even, even) >= 0)
        return scaler;
    sws_freeContext(scaler);
    return NULL;
}

/* Of each coder: what makes it fast enough without making a phone's clip large. A key frame at
 * least every 2 s of usual pictures, so that a student can scrub. */
static void set_h264(AVCodecContext *coder, int quality) {
    av_opt_set(coder->priv_data, "preset", "medium", 0);
    av_opt_set_double(coder->priv_data, "crf", quality > 0 ? quality : 20, 0);
    coder->profile = SP_PROFILE_H264_HIGH;
    coder->gop_size = 60;
}

static void set_vp9(AVCodecContext *coder, int quality) {
    av_opt_set_double(coder->priv_data, "crf", quality > 0 ? quality : 33, 0);
    av_opt_set(coder->priv_data, "deadline", "good", 0);
    av_opt_set_int(coder->priv_data, "cpu-used", 4, 0);
    av_opt_set_int(coder->priv_data, "row-mt", 1, 0);
    coder->bit_rate = 0; /* constant quality */
    coder->gop_size = 60;
}

static void set_up(sp_encoder *encoder, AVCodecContext *coder) {
    const sp_encoder_options *options = &encoder->options;
    const long processors = sysconf(_SC_NPROCESSORS_ONLN);
    coder->width = options->width;
    coder->height = options->height;
    coder->pix_fmt = AV_PIX_FMT_YUV420P;
    coder->time_base = (AVRational){1, SP_ENCODE_TICKS};
    coder->framerate = (AVRational){60, 1}; /* at most: the level that players look at */
    coder->sample_aspect_ratio = (AVRational){1, 1};
    coder->color_range = AVCOL_RANGE_MPEG;
    coder->colorspace = AVCOL_SPC_BT709;
    coder->color_primaries = AVCOL_PRI_BT709;
    coder->color_trc = AVCOL_TRC_BT709;
    coder->chroma_sample_location = AVCHROMA_LOC_LEFT;
    coder->thread_count = options->threads > 0 ? options->threads
                          : processors > 0     ? (int)(processors < 16 ? processors : 16)
                                               : 1;
    if (encoder->format->oformat->flags & AVFMT_GLOBALHEADER)
        coder->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    if (options->coding == SP_CODING_H264) {
        set_h264(coder, options->quality);
    } else {
        set_vp9(coder, options->quality);
    }
}

static bool make_frame(sp_encoder *encoder, sp_error *error) {
    const AVCodecContext *coder = encoder->video;
    encoder->picture = av_frame_alloc();
    encoder->scaler = sp_encode_scaler_new(coder->width, coder->height, coder->pix_fmt, false);
    if (encoder->picture == NULL || encoder->scaler == NULL)
        return sp_encode_fail(encoder, AVERROR(ENOMEM), error);
    encoder->picture->format = coder->pix_fmt;
    encoder->picture->width = coder->width;
    encoder->picture->height = coder->height;
    encoder->picture->color_range = coder->color_range;
    encoder->picture->colorspace = coder->colorspace;
    encoder->picture->color_primaries = coder->color_primaries;
    encoder->picture->color_trc = coder->color_trc;
    const int code = av_frame_get_buffer(encoder->picture, 0);
    return code >= 0 || sp_encode_fail(encoder, code, error);
}

bool sp_encode_video_open(sp_encoder *encoder, sp_error *error) {
    const char *name = encoder->options.coding == SP_CODING_H264 ? "libx264" : "libvpx-vp9";
    const AVCodec *codec = avcodec_find_encoder_by_name(name);
    if (codec == NULL)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "this system's FFmpeg has no %s to encode with; install one that has", name);
    encoder->video = avcodec_alloc_context3(codec);
    encoder->video_stream = avformat_new_stream(encoder->format, NULL);
    if (encoder->video == NULL || encoder->video_stream == NULL)
        return sp_encode_fail(encoder, AVERROR(ENOMEM), error);
    set_up(encoder, encoder->video);
    int code = avcodec_open2(encoder->video, codec, NULL);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    encoder->video_stream->time_base = encoder->video->time_base;
    encoder->video_stream->sample_aspect_ratio = encoder->video->sample_aspect_ratio;
    code = avcodec_parameters_from_context(encoder->video_stream->codecpar, encoder->video);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    return make_frame(encoder, error);
}

static bool convert(sp_encoder *encoder, const sp_picture *picture, sp_error *error) {
    assert(picture->width == encoder->video->width && picture->height == encoder->video->height);
    const int code = av_frame_make_writable(encoder->picture);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    encoder->banded = false;
    const uint8_t *const planes[4] = {picture->pixels};
    const int strides[4] = {(int)picture->stride};
    const int rows = sws_scale(encoder->scaler, planes, strides, 0, picture->height,
                               encoder->picture->data, encoder->picture->linesize);
    return rows == picture->height || sp_encode_fail(encoder, AVERROR(ENOMEM), error);
}

bool sp_encode_show(sp_encoder *encoder, double from_s, double to_s, sp_error *error) {
    const int64_t from = llround(from_s * SP_ENCODE_TICKS), to = llround(to_s * SP_ENCODE_TICKS);
    const size_t at = encoder->span_count++ % SP_ENCODE_SPANS;
    encoder->spans[at].from = from;
    encoder->spans[at].ticks = to - from;
    encoder->picture->pts = from;
    return sp_encode_send(encoder, encoder->video, encoder->video_stream, encoder->picture, error);
}

bool sp_encoder_add(sp_encoder *encoder, const sp_picture *picture, double from_s, double to_s,
                    sp_error *error) {
    return (picture == NULL || convert(encoder, picture, error)) &&
           sp_encode_show(encoder, from_s, to_s, error);
}

bool sp_encode_video_flush(sp_encoder *encoder, sp_error *error) {
    return sp_encode_send(encoder, encoder->video, encoder->video_stream, NULL, error);
}
