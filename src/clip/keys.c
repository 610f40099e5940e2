#include "clip/keys.h"

#include <stddef.h>
#include <stdint.h>

#include <libavcodec/codec_desc.h>

/* NAL unit types: ITU-T H.264 table 7-1, ITU-T H.265 table 7-1. */
enum { H264_IDR = 5 };
enum {
    HEVC_RASL_N = 8,
    HEVC_RASL_R = 9,
    HEVC_BLA_FIRST = 16,
    HEVC_BLA_LAST = 18,
    HEVC_IDR_LAST = 20,
    HEVC_CRA = 21,
    HEVC_IRAP_LAST = 23,
    HEVC_VCL_LAST = 31,
    HEVC_END_OF_SEQUENCE = 36,
    HEVC_END_OF_STREAM = 37,
};

typedef struct {
    const uint8_t *at, *end;
    int length_bytes; /* 0: start codes */
} units;

/* The length prefix is told by the decoder configuration record, ISO/IEC 14496-15, 5.3.3 and 8.3.3;
 * without such a record the units follow start codes (annex B of either codec). */
static int length_prefix(const AVCodecParameters *codec) {
    const uint8_t *record = codec->extradata;
    const int size = codec->extradata_size;
    if (record == NULL) return 0;
    if (codec->codec_id == AV_CODEC_ID_H264)
        return size >= 7 && record[0] == 1 ? (record[4] & 3) + 1 : 0;
    const bool start_code = record[0] == 0 && size > 2 && record[1] == 0 && record[2] <= 1;
    return size >= 23 && !start_code ? (record[21] & 3) + 1 : 0;
}

static bool next_prefixed(units *list, const uint8_t **unit, const uint8_t **unit_end) {
    if (list->end - list->at <= list->length_bytes) return false;
    size_t length = 0;
    for (int i = 0; i < list->length_bytes; i++) length = length << 8 | *list->at++;
    if (length == 0 || length > (size_t)(list->end - list->at)) return false;
    *unit = list->at;
    *unit_end = list->at += length;
    return true;
}

static const uint8_t *start_code(const uint8_t *at, const uint8_t *end) {
    for (; end - at >= 3; at++)
        if (at[0] == 0 && at[1] == 0 && at[2] == 1) return at;
    return end;
}

static bool next_started(units *list, const uint8_t **unit, const uint8_t **unit_end) {
    const uint8_t *code = start_code(list->at, list->end);
    if (list->end - code <= 3) return false;
    *unit = code + 3;
    *unit_end = list->at = start_code(*unit, list->end);
    return true;
}

static bool next_unit(units *list, const uint8_t **unit, const uint8_t **unit_end) {
    return list->length_bytes > 0 ? next_prefixed(list, unit, unit_end)
                                  : next_started(list, unit, unit_end);
}

static units units_of(const AVCodecParameters *codec, const AVPacket *packet) {
    return (units){packet->data, packet->data + packet->size, length_prefix(codec)};
}

/* A picture of intra slices that is no IDR is at best a recovery point, and what was coded before
 * it may still be used after it. */
static sp_key look_h264(const AVCodecParameters *codec, const AVPacket *packet) {
    if ((packet->flags & AV_PKT_FLAG_KEY) == 0) return SP_KEY_NONE;
    units list = units_of(codec, packet);
    const uint8_t *unit, *end;
    while (next_unit(&list, &unit, &end))
        if ((unit[0] & 31) == H264_IDR) return SP_KEY_CLEAN;
    return SP_KEY_WARM;
}

/* RASL pictures are not output after a random access point that begins a sequence (H.265, 8.1.3:
 * NoRaslOutputFlag). */
static sp_key look_hevc(sp_key_state *state, const AVCodecParameters *codec, const AVPacket *packet,
                        bool *hidden) {
    units list = units_of(codec, packet);
    const uint8_t *unit, *end;
    int picture = -1;
    bool ends = false;
    while (next_unit(&list, &unit, &end)) {
        const int type = unit[0] >> 1 & 63;
        if (picture < 0 && type <= HEVC_VCL_LAST) picture = type;
        if (type == HEVC_END_OF_SEQUENCE || type == HEVC_END_OF_STREAM) ends = true;
    }
    const bool random_access = picture >= HEVC_BLA_FIRST && picture <= HEVC_IRAP_LAST;
    if (random_access)
        state->skips_leading = !state->started || state->sequence_ended || picture <= HEVC_IDR_LAST;
    if (picture == HEVC_RASL_N || picture == HEVC_RASL_R) *hidden = state->skips_leading;
    if (random_access) state->started = true;
    state->sequence_ended = ends;
    if (random_access) return SP_KEY_CLEAN;
    return (packet->flags & AV_PKT_FLAG_KEY) != 0 ? SP_KEY_WARM : SP_KEY_NONE;
}

/* RFC 6386, 9.1: the fifth bit of a frame's first byte is show_frame. */
static bool vp8_hides(const AVPacket *packet) { return (packet->data[0] & 0x10) == 0; }

static bool intra_only(const AVCodecParameters *codec) {
    const AVCodecDescriptor *about = avcodec_descriptor_get(codec->codec_id);
    return about != NULL && (about->props & AV_CODEC_PROP_INTRA_ONLY) != 0;
}

sp_key sp_key_look(sp_key_state *state, const AVCodecParameters *codec, const AVPacket *packet,
                   bool *hidden) {
    *hidden = false;
    switch (codec->codec_id) {
    case AV_CODEC_ID_H264: return look_h264(codec, packet);
    case AV_CODEC_ID_HEVC: return look_hevc(state, codec, packet, hidden);
    case AV_CODEC_ID_VP8: *hidden = vp8_hides(packet); break;
    default: break;
    }
    const bool key = (packet->flags & AV_PKT_FLAG_KEY) != 0 || intra_only(codec);
    return key ? SP_KEY_CLEAN : SP_KEY_NONE;
}
