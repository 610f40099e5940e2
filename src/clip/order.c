#include "clip/order.h"

#include <stdlib.h>

#include <libavcodec/codec_desc.h>

#include "clip/decoder.h"
#include "clip/refusal.h"

/* Codecs of which each packet shows one picture. Others may skip pictures or halve them, and are
 * old and small enough to be decoded once when they are opened. */
static bool is_one_to_one(const AVCodecParameters *codec) {
    switch (codec->codec_id) {
    case AV_CODEC_ID_H264:
        return codec->field_order == AV_FIELD_UNKNOWN || codec->field_order == AV_FIELD_PROGRESSIVE;
    case AV_CODEC_ID_HEVC:
    case AV_CODEC_ID_VP8:
    case AV_CODEC_ID_VP9:
    case AV_CODEC_ID_AV1: return true;
    default: break;
    }
    const AVCodecDescriptor *about = avcodec_descriptor_get(codec->codec_id);
    return about != NULL && (about->props & AV_CODEC_PROP_INTRA_ONLY) != 0;
}

typedef struct {
    int64_t time;
    int serial;
} moment;

static int compare_moments(const void *a, const void *b) {
    const moment *one = a, *other = b;
    if (one->time != other->time) return one->time < other->time ? -1 : 1;
    return one->serial < other->serial ? -1 : one->serial > other->serial;
}

static int64_t time_of(const sp_packet *packet) {
    return packet->pts != AV_NOPTS_VALUE ? packet->pts : packet->dts;
}

/* NULL without memory. */
static moment *sort_by_times(const sp_index *index) {
    moment *moments = calloc((size_t)index->count + 1, sizeof *moments);
    if (moments == NULL) return NULL;
    for (int i = 0; i < index->count; i++) moments[i] = (moment){time_of(&index->packets[i]), i};
    qsort(moments, (size_t)index->count, sizeof *moments, compare_moments);
    return moments;
}

static bool has_doubles(const sp_index *index) {
    moment *moments = sort_by_times(index);
    bool doubled = moments == NULL;
    const moment *before = NULL;
    for (int i = 0; !doubled && i < index->count; i++) {
        if (index->packets[moments[i].serial].hidden) continue;
        doubled = before != NULL && before->time == moments[i].time;
        before = &moments[i];
    }
    free(moments);
    return doubled;
}

bool sp_order_is_told(const sp_index *index, const AVCodecParameters *codec) {
    if (!is_one_to_one(codec)) return false;
    for (int i = 0; i < index->count; i++)
        if (!index->packets[i].hidden && index->packets[i].pts == AV_NOPTS_VALUE) return false;
    return !has_doubles(index);
}

bool sp_order_by_times(sp_index *index) {
    moment *moments = sort_by_times(index);
    if (moments == NULL) return false;
    for (int i = 0; i < index->count; i++) {
        sp_packet *packet = &index->packets[moments[i].serial];
        packet->order = i;
        packet->time = (double)moments[i].time;
    }
    free(moments);
    return true;
}

/* --- by decoding --- */

typedef struct {
    int *shown; /* serials in the order in which their pictures come */
    int count;
} showing;

static void take_pictures(showing *show, sp_index *index, AVCodecContext *codec, AVFrame *frame) {
    while (avcodec_receive_frame(codec, frame) >= 0) {
        const int64_t serial = frame->pts;
        const bool known = serial >= 0 && serial < index->count;
        if (known && index->packets[serial].number < 0) {
            index->packets[serial].number = show->count;
            show->shown[show->count++] = (int)serial;
        }
        av_frame_unref(frame);
    }
}

static void decode_all(showing *show, sp_index *index, sp_reader *reader, AVCodecContext *codec,
                       AVPacket *packet, AVFrame *frame) {
    for (int i = 0; i < index->count && sp_reader_next(reader, packet); i++) {
        index->packets[i].number = -1;
        packet->pts = i;
        packet->dts = AV_NOPTS_VALUE;
        if (avcodec_send_packet(codec, packet) == AVERROR(EAGAIN)) {
            take_pictures(show, index, codec, frame);
            avcodec_send_packet(codec, packet);
        }
        take_pictures(show, index, codec, frame);
        av_packet_unref(packet);
    }
    avcodec_send_packet(codec, NULL);
    take_pictures(show, index, codec, frame);
}

/* A packet without a picture takes its place behind the one before it in the file. */
static bool place(sp_index *index) {
    moment *moments = calloc((size_t)index->count + 1, sizeof *moments);
    if (moments == NULL) return false;
    int64_t last = -1;
    for (int i = 0; i < index->count; i++) {
        sp_packet *packet = &index->packets[i];
        packet->hidden = packet->number < 0;
        if (!packet->hidden) last = packet->number;
        moments[i] = (moment){last * 2 + packet->hidden, i};
    }
    qsort(moments, (size_t)index->count, sizeof *moments, compare_moments);
    for (int i = 0; i < index->count; i++) index->packets[moments[i].serial].order = i;
    free(moments);
    return true;
}

static int compare_times(const void *a, const void *b) {
    const double one = *(const double *)a, other = *(const double *)b;
    return one < other ? -1 : one > other;
}

/* One stamp for all: decoding stamps where a presentation stamp is missing. */
static void collect_stamps(const sp_index *index, const showing *show, double *times) {
    bool missing = false;
    for (int n = 0; n < show->count; n++)
        if (index->packets[show->shown[n]].pts == AV_NOPTS_VALUE) missing = true;
    for (int n = 0; n < show->count; n++) {
        const sp_packet *packet = &index->packets[show->shown[n]];
        const int64_t stamp = missing ? packet->dts : packet->pts;
        const double before = n > 0 ? times[n - 1] : 0;
        times[n] = stamp != AV_NOPTS_VALUE ? (double)stamp : before;
    }
}

static bool increase(const double *times, int count) {
    for (int n = 1; n < count; n++)
        if (times[n] <= times[n - 1]) return false;
    return true;
}

/* Recordings joined end to end begin their times anew: a step back by more than a second is taken
 * for that, and the later times follow on. */
static void join(double *times, int count, double second) {
    double shift = 0, before = times[0], step = 1;
    for (int n = 1; n < count; n++) {
        const double stamp = times[n];
        if (stamp < before - second) shift += before - stamp + step;
        if (stamp > before) step = stamp - before;
        before = stamp;
        times[n] = stamp + shift;
    }
}

/* Spreads a run of equal times evenly up to the next time; at the end by the step before it. */
static void spread_doubles(double *times, int count) {
    for (int from = 0, to; from < count; from = to) {
        for (to = from + 1; to < count && times[to] <= times[from];) to++;
        const double step = from > 0 ? times[from] - times[from - 1] : 1;
        const double part = to < count ? (times[to] - times[from]) / (to - from) : step;
        for (int n = from + 1; n < to; n++) times[n] = times[from] + part * (n - from);
    }
}

/* Pictures are displayed in the order in which they come: their times, sorted, are theirs in turn.
 */
static bool set_times(sp_index *index, const showing *show, AVRational base) {
    double *times = calloc((size_t)show->count + 1, sizeof *times);
    if (times == NULL) return false;
    collect_stamps(index, show, times);
    for (int n = 0; n < show->count; n++)
        if (index->packets[show->shown[n]].pts == AV_NOPTS_VALUE) index->guessed = true;
    if (!increase(times, show->count)) index->guessed = true;
    if (show->count > 0) join(times, show->count, 1 / av_q2d(base));
    qsort(times, (size_t)show->count, sizeof *times, compare_times);
    spread_doubles(times, show->count);
    for (int n = 0; n < show->count; n++) index->packets[show->shown[n]].time = times[n];
    free(times);
    return true;
}

bool sp_order_by_decoding(sp_index *index, sp_reader *reader, sp_error *error) {
    enum { UNKNOWN_DEPTH = 16 };
    static const sp_decoder_ways ways = {.depth = UNKNOWN_DEPTH};
    sp_decoder decoder = {0};
    if (!sp_reader_rewind(reader, error) || !sp_decoder_open(&decoder, reader, &ways, error))
        return false;
    showing show = {.shown = calloc((size_t)index->count + 1, sizeof *show.shown)};
    AVPacket *packet = av_packet_alloc();
    AVFrame *frame = av_frame_alloc();
    bool good = show.shown != NULL && packet != NULL && frame != NULL;
    if (good) {
        for (int i = 0; i < index->count; i++) index->packets[i].number = -1;
        decode_all(&show, index, reader, decoder.codec, packet, frame);
        good = place(index) && set_times(index, &show, reader->stream->time_base);
    }
    av_frame_free(&frame);
    av_packet_free(&packet);
    free(show.shown);
    sp_decoder_close(&decoder);
    return good || sp_refuse_memory(reader->path, error);
}
