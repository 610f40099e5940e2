#include "clip/encode.h"

#include <assert.h>
#include <errno.h>
#include <stdlib.h>

#include <libavutil/opt.h>

bool sp_encode_fail(const sp_encoder *encoder, int code, sp_error *error) {
    if (code == AVERROR(ENOMEM))
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to encode '%s'", encoder->file.shown);
    if (AVUNERROR(code) > 0 && AVUNERROR(code) < 200)
        return sp_encode_file_fail(&encoder->file, AVUNERROR(code), error);
    char words[AV_ERROR_MAX_STRING_SIZE];
    return sp_fail(error, SP_ERROR_FORMAT, "'%s' cannot be encoded: %s", encoder->file.shown,
                   av_make_error_string(words, sizeof words, code));
}

static bool write_packet(sp_encoder *encoder, AVStream *stream, AVRational clock, sp_error *error) {
    AVPacket *packet = encoder->packet;
    if (stream == encoder->video_stream)
        for (size_t i = 0; i < SP_ENCODE_SPANS; i++)
            if (encoder->spans[i].from == packet->pts && encoder->spans[i].ticks > 0)
                packet->duration = encoder->spans[i].ticks;
    packet->stream_index = stream->index;
    av_packet_rescale_ts(packet, clock, stream->time_base);
    const int code = av_interleaved_write_frame(encoder->format, packet);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    return encoder->format->pb->error >= 0 ||
           sp_encode_fail(encoder, encoder->format->pb->error, error);
}

bool sp_encode_send(sp_encoder *encoder, AVCodecContext *coder, AVStream *stream, AVFrame *frame,
                    sp_error *error) {
    int code = avcodec_send_frame(coder, frame);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    while ((code = avcodec_receive_packet(coder, encoder->packet)) >= 0)
        if (!write_packet(encoder, stream, coder->time_base, error)) return false;
    return code == AVERROR(EAGAIN) || code == AVERROR_EOF || sp_encode_fail(encoder, code, error);
}

static bool open_container(sp_encoder *encoder, sp_error *error) {
    const char *name = encoder->options.coding == SP_CODING_H264 ? "mp4" : "webm";
    int code =
        avformat_alloc_output_context2(&encoder->format, NULL, name, encoder->file.temporary);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    code = avio_open(&encoder->format->pb, encoder->file.temporary, AVIO_FLAG_WRITE);
    return code >= 0 || sp_encode_fail(encoder, code, error);
}

static bool start(sp_encoder *encoder, sp_error *error) {
    AVDictionary *options = NULL;
    if (encoder->options.coding == SP_CODING_H264)
        av_dict_set(&options, "movflags", "+faststart", 0);
    const int code = avformat_write_header(encoder->format, &options);
    av_dict_free(&options);
    encoder->started = code >= 0;
    return code >= 0 || sp_encode_fail(encoder, code, error);
}

sp_encoder *sp_encoder_open(const char *path, const sp_encoder_options *options, sp_error *error) {
    assert(options->width % 2 == 0 && options->height % 2 == 0);
    assert(options->width >= 2 && options->width <= SP_ENCODER_SIDE_MAX);
    assert(options->height >= 2 && options->height <= SP_ENCODER_SIDE_MAX);
    av_log_set_level(AV_LOG_QUIET);
    sp_encoder *encoder = calloc(1, sizeof *encoder);
    if (encoder == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to encode '%s'", path);
        return NULL;
    }
    encoder->options = *options;
    encoder->packet = av_packet_alloc();
    const bool good =
        (encoder->packet != NULL || sp_encode_fail(encoder, AVERROR(ENOMEM), error)) &&
        sp_encode_file_open(&encoder->file, path, error) && open_container(encoder, error) &&
        sp_encode_video_open(encoder, error) &&
        (options->sound_channels == 0 || sp_encode_sound_open(encoder, error)) &&
        start(encoder, error);
    if (good) return encoder;
    sp_encoder_close(encoder);
    return NULL;
}

bool sp_encoder_finish(sp_encoder *encoder, sp_error *error) {
    if (!sp_encode_video_flush(encoder, error)) return false;
    if (encoder->sound != NULL && !sp_encode_sound_flush(encoder, error)) return false;
    int code = av_write_trailer(encoder->format);
    if (code >= 0) code = encoder->format->pb->error;
    const int closed = avio_closep(&encoder->format->pb);
    if (code >= 0) code = closed;
    if (code < 0) return sp_encode_fail(encoder, code, error);
    return sp_encode_file_commit(&encoder->file, error);
}

void sp_encoder_close(sp_encoder *encoder) {
    if (encoder == NULL) return;
    if (encoder->format != NULL) avio_closep(&encoder->format->pb);
    avformat_free_context(encoder->format);
    avcodec_free_context(&encoder->video);
    avcodec_free_context(&encoder->sound);
    av_frame_free(&encoder->picture);
    av_frame_free(&encoder->samples);
    av_packet_free(&encoder->packet);
    sws_freeContext(encoder->scaler);
    sws_freeContext(encoder->resizer);
    av_frame_free(&encoder->resized);
    sp_picture_clear(&encoder->band);
    sp_encode_file_drop(&encoder->file);
    free(encoder);
}
