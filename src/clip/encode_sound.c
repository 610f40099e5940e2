/* The sound of an encoder. */
#include <string.h>

#include <libavutil/channel_layout.h>

#include "clip/encode.h"

static bool make_samples(sp_encoder *encoder, sp_error *error) {
    AVCodecContext *coder = encoder->sound;
    encoder->samples = av_frame_alloc();
    if (encoder->samples == NULL) return sp_encode_fail(encoder, AVERROR(ENOMEM), error);
    encoder->samples->format = coder->sample_fmt;
    encoder->samples->nb_samples = coder->frame_size;
    encoder->samples->sample_rate = coder->sample_rate;
    int code = av_channel_layout_copy(&encoder->samples->ch_layout, &coder->ch_layout);
    if (code >= 0) code = av_frame_get_buffer(encoder->samples, 0);
    return code >= 0 || sp_encode_fail(encoder, code, error);
}

bool sp_encode_sound_open(sp_encoder *encoder, sp_error *error) {
    const bool aac = encoder->options.coding == SP_CODING_H264;
    const AVCodec *codec = avcodec_find_encoder_by_name(aac ? "aac" : "libopus");
    if (codec == NULL)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "this system's FFmpeg has no %s to encode with; install one that has",
                       aac ? "aac" : "libopus");
    encoder->sound = avcodec_alloc_context3(codec);
    encoder->sound_stream = avformat_new_stream(encoder->format, NULL);
    if (encoder->sound == NULL || encoder->sound_stream == NULL)
        return sp_encode_fail(encoder, AVERROR(ENOMEM), error);
    encoder->sound->sample_rate = SP_ENCODER_SOUND_RATE;
    encoder->sound->sample_fmt = aac ? AV_SAMPLE_FMT_FLTP : AV_SAMPLE_FMT_FLT;
    encoder->sound->time_base = (AVRational){1, SP_ENCODER_SOUND_RATE};
    encoder->sound->bit_rate = (int64_t)64000 * encoder->options.sound_channels;
    av_channel_layout_default(&encoder->sound->ch_layout, encoder->options.sound_channels);
    if (encoder->format->oformat->flags & AVFMT_GLOBALHEADER)
        encoder->sound->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    int code = avcodec_open2(encoder->sound, codec, NULL);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    encoder->sound_stream->time_base = encoder->sound->time_base;
    code = avcodec_parameters_from_context(encoder->sound_stream->codecpar, encoder->sound);
    if (code < 0) return sp_encode_fail(encoder, code, error);
    return make_samples(encoder, error);
}

static bool send_samples(sp_encoder *encoder, sp_error *error) {
    encoder->samples->nb_samples = encoder->filled;
    encoder->samples->pts = encoder->sample_count;
    encoder->sample_count += encoder->filled;
    encoder->filled = 0;
    return sp_encode_send(encoder, encoder->sound, encoder->sound_stream, encoder->samples, error);
}

/* The coder may still hold the last samples: then a copy is filled. */
static bool make_room(sp_encoder *encoder, sp_error *error) {
    if (encoder->filled > 0) return true;
    encoder->samples->nb_samples = encoder->sound->frame_size;
    const int code = av_frame_make_writable(encoder->samples);
    return code >= 0 || sp_encode_fail(encoder, code, error);
}

static void put(sp_encoder *encoder, const float *samples, size_t count) {
    const int channels = encoder->options.sound_channels;
    const bool planar = av_sample_fmt_is_planar(encoder->sound->sample_fmt) != 0;
    for (size_t i = 0; i < count; i++, encoder->filled++)
        for (int c = 0; c < channels; c++) {
            const float value = samples[i * (size_t)channels + (size_t)c];
            float *plane = (float *)(void *)encoder->samples->extended_data[planar ? c : 0];
            plane[planar ? encoder->filled : encoder->filled * channels + c] = value;
        }
}

bool sp_encoder_add_sound(sp_encoder *encoder, const float *samples, size_t count,
                          sp_error *error) {
    while (count > 0) {
        if (!make_room(encoder, error)) return false;
        const size_t room = (size_t)(encoder->sound->frame_size - encoder->filled);
        const size_t now = count < room ? count : room;
        put(encoder, samples, now);
        samples += now * (size_t)encoder->options.sound_channels;
        count -= now;
        if (encoder->filled == encoder->sound->frame_size && !send_samples(encoder, error))
            return false;
    }
    return true;
}

bool sp_encode_sound_flush(sp_encoder *encoder, sp_error *error) {
    if (encoder->filled > 0 && !send_samples(encoder, error)) return false;
    return sp_encode_send(encoder, encoder->sound, encoder->sound_stream, NULL, error);
}
