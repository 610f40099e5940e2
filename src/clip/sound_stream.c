#include "clip/sound_stream.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <libavutil/channel_layout.h>

#include "clip/refusal.h"
#include "clip/sound_talk.h"
#include "clip/source.h"
#include "serveplumb/sound.h"

/* Rates outside of these are no sound of a clip, and would make a small file a large one. */
enum { RATE_MIN = 4000, RATE_MAX = 768000, CHANNELS_MAX = 64 };
enum { SLICE = 4096, PACKET_MAX = 1 << 24 };

static bool choose_stream(sp_sound_stream *stream, sp_error *error) {
    AVFormatContext *format = stream->reader.format;
    const int best =
        av_find_best_stream(format, AVMEDIA_TYPE_AUDIO, -1, stream->reader.stream->index, NULL, 0);
    if (best < 0)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "'%s' holds no sound; slow motion is often stored without",
                       stream->reader.path);
    for (unsigned i = 0; i < format->nb_streams; i++)
        format->streams[i]->discard = (int)i == best ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
    stream->stream = format->streams[best];
    return true;
}

static bool refuse_codec(const sp_sound_stream *stream, sp_error *error) {
    return sp_fail(error, SP_ERROR_FORMAT,
                   "the sound of '%s' is coded in a way that cannot be decoded here (%s); export "
                   "the clip with AAC sound",
                   stream->reader.path, avcodec_get_name(stream->stream->codecpar->codec_id));
}

static bool open_codec(sp_sound_stream *stream, sp_error *error) {
    const AVCodecParameters *stored = stream->stream->codecpar;
    const AVCodec *kind = avcodec_find_decoder(stored->codec_id);
    if (kind == NULL) return refuse_codec(stream, error);
    avcodec_free_context(&stream->codec);
    stream->codec = avcodec_alloc_context3(kind);
    if (stream->codec == NULL || avcodec_parameters_to_context(stream->codec, stored) < 0)
        return sp_refuse_memory(stream->reader.path, error);
    stream->codec->pkt_timebase = stream->stream->time_base; /* priming is cut off by its help */
    stream->codec->thread_count = 1;
    return avcodec_open2(stream->codec, kind, NULL) >= 0 || refuse_codec(stream, error);
}

bool sp_stream_open_file(sp_sound_stream *stream, int file, const char *path, double start_s,
                         sp_error *error) {
    *stream =
        (sp_sound_stream){.process = {-1, -1}, .start_s = start_s, .format = AV_SAMPLE_FMT_NONE};
    if (!sp_reader_open_file(&stream->reader, file, path, error)) return false;
    stream->packet = av_packet_alloc();
    stream->frame = av_frame_alloc();
    if (stream->packet != NULL && stream->frame != NULL) {
        if (choose_stream(stream, error) && open_codec(stream, error)) {
            stream->channels = stream->codec->ch_layout.nb_channels == 1 ? 1 : 2;
            return true;
        }
    } else {
        sp_refuse_memory(path, error);
    }
    sp_stream_close(stream);
    return false;
}

bool sp_stream_open(sp_sound_stream *stream, const char *path, double start_s, sp_error *error) {
    *stream = (sp_sound_stream){.process = {-1, -1}, .reader.file = -1, .left = stream->left};
    const int file = sp_source_open(path, error);
    if (file < 0) return false;
    if (!sp_sound_talk_start(stream))
        return sp_stream_open_file(stream, file, path, start_s, error);
    if (sp_sound_talk_open(stream, file, path, start_s, error)) return true;
    sp_stream_close(stream);
    return false;
}

void sp_stream_close(sp_sound_stream *stream) {
    sp_process_end(&stream->process);
    free(stream->reply);
    swr_free(&stream->resampler);
    avcodec_free_context(&stream->codec);
    av_packet_free(&stream->packet);
    av_frame_free(&stream->frame);
    free(stream->samples);
    sp_reader_close(&stream->reader);
    *stream = (sp_sound_stream){.process = {-1, -1}, .reader.file = -1};
}

/* --- packets to frames --- */

static bool read_packet(sp_sound_stream *stream) {
    while (av_read_frame(stream->reader.format, stream->packet) >= 0) {
        if (stream->packet->stream_index == stream->stream->index) return true;
        av_packet_unref(stream->packet);
    }
    return false;
}

static void feed(sp_sound_stream *stream) {
    if (!read_packet(stream)) {
        avcodec_send_packet(stream->codec, NULL);
        stream->drained = true;
        return;
    }
    const bool sane = stream->packet->size > 0 && stream->packet->size <= PACKET_MAX;
    if (!sane || avcodec_send_packet(stream->codec, stream->packet) < 0) stream->errors++;
    av_packet_unref(stream->packet);
}

static bool is_sound(const AVFrame *frame) {
    return frame->nb_samples > 0 && frame->sample_rate >= RATE_MIN &&
           frame->sample_rate <= RATE_MAX && frame->ch_layout.nb_channels > 0 &&
           frame->ch_layout.nb_channels <= CHANNELS_MAX;
}

static bool decode(sp_sound_stream *stream) {
    enum { ERRORS_WHILE_DRAINING = 64 };
    for (int errors = 0; errors < ERRORS_WHILE_DRAINING;) {
        const int status = avcodec_receive_frame(stream->codec, stream->frame);
        if (status == AVERROR_EOF) return false;
        if (status >= 0 && is_sound(stream->frame)) return true;
        if (status == AVERROR(EAGAIN) && !stream->drained) {
            feed(stream);
        } else {
            stream->errors++;
            errors += stream->drained;
        }
    }
    return false;
}

/* AVI cannot say how much of MP3 is priming: 529 samples of any decoder and the 576 that coders
 * begin with (from memory; other coders differ by some ms). */
static double unsaid_priming(const sp_sound_stream *stream) {
    const bool avi = strcmp(stream->reader.format->iformat->name, "avi") == 0;
    return avi && stream->codec->codec_id == AV_CODEC_ID_MP3 ? 529 + 576 : 0;
}

static double stamp_of(const sp_sound_stream *stream) {
    if (stream->frame->pts == AV_NOPTS_VALUE) return NAN;
    return (double)stream->frame->pts * av_q2d(stream->stream->time_base) - stream->start_s -
           unsaid_priming(stream) / stream->frame->sample_rate;
}

/* --- frames to samples --- */

static bool fits_resampler(const sp_sound_stream *stream) {
    return stream->resampler != NULL && stream->format == stream->frame->format &&
           stream->rate == stream->frame->sample_rate &&
           stream->from_channels == stream->frame->ch_layout.nb_channels;
}

static bool set_resampler(sp_sound_stream *stream) {
    const AVFrame *frame = stream->frame;
    AVChannelLayout from = {0}, to = {0};
    swr_free(&stream->resampler);
    av_channel_layout_default(&to, stream->channels);
    if (av_channel_layout_check(&frame->ch_layout) &&
        frame->ch_layout.order != AV_CHANNEL_ORDER_UNSPEC) {
        if (av_channel_layout_copy(&from, &frame->ch_layout) < 0) return false;
    } else {
        av_channel_layout_default(&from, frame->ch_layout.nb_channels);
    }
    const int status =
        swr_alloc_set_opts2(&stream->resampler, &to, AV_SAMPLE_FMT_FLT, SP_SOUND_RATE, &from,
                            (enum AVSampleFormat)frame->format, frame->sample_rate, 0, NULL);
    av_channel_layout_uninit(&from);
    if (status < 0 || swr_init(stream->resampler) < 0) {
        swr_free(&stream->resampler);
        return false;
    }
    stream->rate = frame->sample_rate;
    stream->format = (enum AVSampleFormat)frame->format;
    stream->from_channels = frame->ch_layout.nb_channels;
    return true;
}

static bool make_room(sp_sound_stream *stream, int count) {
    if (count <= stream->room) return true;
    float *samples =
        realloc(stream->samples, sizeof(float) * (size_t)stream->channels * (size_t)count);
    if (samples == NULL) return false;
    stream->samples = samples;
    stream->room = count;
    return true;
}

/* `count` 0: what the resampler still holds back. */
static bool convert(sp_sound_stream *stream, const uint8_t **from, int count,
                    sp_sound_block *block) {
    const int most = swr_get_out_samples(stream->resampler, count);
    if (most < 0 || !make_room(stream, most + 1)) return false;
    uint8_t *to = (uint8_t *)stream->samples;
    const int got = swr_convert(stream->resampler, &to, most, from, count);
    if (got < 0) return false;
    *block = (sp_sound_block){stream->next, stream->samples, got};
    stream->next += got;
    return got > 0;
}

/* A part of the frame, so that no frame however long takes much memory. */
static bool convert_slice(sp_sound_stream *stream, sp_sound_block *block) {
    const AVFrame *frame = stream->frame;
    const uint8_t *planes[CHANNELS_MAX];
    const bool planar = av_sample_fmt_is_planar(stream->format) != 0;
    const int count =
        frame->nb_samples - stream->at < SLICE ? frame->nb_samples - stream->at : SLICE;
    const ptrdiff_t step = av_get_bytes_per_sample(stream->format) *
                           (planar ? (ptrdiff_t)1 : (ptrdiff_t)stream->from_channels);
    for (int i = 0; i < (planar ? stream->from_channels : 1); i++)
        planes[i] = frame->extended_data[i] + stream->at * step;
    stream->at += count;
    return convert(stream, planes, count, block);
}

/* Gives the place of the frame; true when a block of the run before it came, to be taken first. */
static bool place(sp_sound_stream *stream, sp_sound_block *block) {
    const double stamp = stamp_of(stream);
    const double length = (double)stream->frame->nb_samples / stream->frame->sample_rate;
    const sp_sound_clock before = stream->clock;
    const sp_sound_place found = sp_clock_place(&stream->clock, stamp, length);
    stream->anchor = (sp_sound_anchor){sp_sound_at(found.time_s), stamp, before};
    if (!found.anew && fits_resampler(stream)) return false;
    const bool rest = stream->resampler != NULL && convert(stream, NULL, 0, block);
    if (!set_resampler(stream)) {
        stream->errors++;
        stream->at = stream->frame->nb_samples; /* silent */
    }
    stream->next = sp_sound_at(found.time_s);
    return rest;
}

static bool is_used_up(const sp_sound_stream *stream) {
    return stream->frame->nb_samples == 0 || stream->at >= stream->frame->nb_samples;
}

static bool is_elsewhere(const sp_sound_stream *stream) { return stream->reply != NULL; }

bool sp_stream_next(sp_sound_stream *stream, sp_sound_block *block) {
    if (is_elsewhere(stream)) return sp_sound_talk_next(stream, block);
    while (!stream->ended) {
        if (!is_used_up(stream)) {
            if (convert_slice(stream, block)) return true;
            continue;
        }
        stream->at = 0;
        if (decode(stream)) {
            if (place(stream, block)) return true;
            continue;
        }
        stream->ended = true;
        return stream->resampler != NULL && convert(stream, NULL, 0, block);
    }
    return false;
}

/* --- going elsewhere --- */

static void forget(sp_sound_stream *stream) {
    av_frame_unref(stream->frame);
    swr_free(&stream->resampler);
    stream->at = 0;
    stream->drained = stream->ended = false;
}

static bool rewind_all(sp_sound_stream *stream, sp_error *error) {
    return sp_reader_rewind(&stream->reader, error) && choose_stream(stream, error) &&
           open_codec(stream, error);
}

static bool seek(sp_sound_stream *stream, double stamp_s) {
    const double base = av_q2d(stream->stream->time_base);
    const double at = (stamp_s + stream->start_s) / base;
    if (!(fabs(at) < 9e15)) return false;
    avcodec_flush_buffers(stream->codec);
    return av_seek_frame(stream->reader.format, stream->stream->index, (int64_t)floor(at),
                         AVSEEK_FLAG_BACKWARD) >= 0;
}

/* Decodes up to the frame of the anchor. */
static bool meet(sp_sound_stream *stream, const sp_sound_anchor *anchor) {
    while (decode(stream)) {
        const double half = 0.5 * stream->frame->nb_samples / stream->frame->sample_rate;
        const double off = stamp_of(stream) - anchor->stamp_s;
        if (off > half) return false;
        if (fabs(off) > half) continue;
        stream->clock = anchor->clock;
        sp_sound_block none;
        place(stream, &none);
        return true;
    }
    return false;
}

bool sp_stream_go(sp_sound_stream *stream, const sp_sound_anchor *anchor, sp_error *error) {
    if (is_elsewhere(stream)) return sp_sound_talk_go(stream, anchor, error);
    /* Decoders need some frames to settle: Opus asks for 80 ms (RFC 7845, 4.6). */
    static const double settle_s = 0.3;
    forget(stream);
    if (!isnan(anchor->stamp_s) && seek(stream, anchor->stamp_s - settle_s) && meet(stream, anchor))
        return true;
    forget(stream);
    stream->clock = (sp_sound_clock){0};
    stream->ended = !rewind_all(stream, error);
    return !stream->ended;
}
