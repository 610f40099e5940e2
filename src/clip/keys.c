#include "clip/keys.h"

#include <stddef.h>
#include <stdint.h>

#include <libavcodec/codec_desc.h>

/* NAL unit types: ITU-T H.264 table 7-1, ITU-T H.265 table 7-1. */
enum { H264_PICTURE_FIRST = 1, H264_IDR = 5, H264_SEI = 6 };
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
    bool torn;        /* a unit claims to be longer than what is left */
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
    size_t length = 0;
    while (length == 0) {
        if (list->end - list->at <= list->length_bytes) return false;
        for (int i = 0; i < list->length_bytes; i++) length = length << 8 | *list->at++;
    }
    list->torn = length > (size_t)(list->end - list->at);
    if (list->torn) return false;
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
    return (units){.at = packet->data,
                   .end = packet->data + packet->size,
                   .length_bytes = length_prefix(codec)};
}

/* A stored sample is one picture; what a parser cut out of a stream may hold none, at its ends. */
static void check_picture(sp_look *look, const units *list, bool picture) {
    look->broken = list->torn || (!picture && list->length_bytes > 0);
    look->hidden = !picture && list->length_bytes == 0;
}

static sp_key marked(const AVPacket *packet, sp_key kind) {
    return (packet->flags & AV_PKT_FLAG_KEY) != 0 ? kind : SP_KEY_NONE;
}

/* The payload of a NAL unit, its emulation prevention bytes left out (ITU-T H.264, 7.3.1). */
typedef struct {
    const uint8_t *at, *end;
    int zeros;
} payload;

/* -1 at the end. */
static int next_byte(payload *from) {
    if (from->zeros >= 2 && from->at < from->end && *from->at == 3) from->at++, from->zeros = 0;
    if (from->at >= from->end) return -1;
    from->zeros = *from->at == 0 ? from->zeros + 1 : 0;
    return *from->at++;
}

/* A number as SEI messages tell types and sizes (7.3.2.3.1); -1 at the end. */
static int next_sum(payload *from) {
    int sum = 0, byte;
    while ((byte = next_byte(from)) == 255) sum += byte;
    return byte < 0 ? -1 : sum + byte;
}

/* Whether this SEI unit holds a recovery point (payload type 6; D.1.8, D.2.8) that says: exact from
 * this very picture on (recovery_frame_cnt 0, coded as one bit 1; exact_match_flag 1), and no
 * broken link. */
static bool promises_exactness(const uint8_t *unit, const uint8_t *end) {
    enum { RECOVERY_POINT = 6 };
    payload from = {.at = unit + 1, .end = end};
    while (end - from.at > 2) {
        const int type = next_sum(&from), size = next_sum(&from);
        if (type < 0 || size <= 0) return false;
        const int first = next_byte(&from);
        if (type == RECOVERY_POINT) return (first & 0xE0) == 0xC0;
        for (int i = 1; i < size; i++)
            if (next_byte(&from) < 0) return false;
    }
    return false;
}

/* A picture of intra slices that is no IDR is at best a recovery point, and what was coded before
 * it may still be used after it. */
static sp_look look_h264(const AVCodecParameters *codec, const AVPacket *packet) {
    sp_look look = {.key = marked(packet, SP_KEY_WARM)};
    units list = units_of(codec, packet);
    const uint8_t *unit, *end;
    bool picture = false;
    while (next_unit(&list, &unit, &end)) {
        const int type = unit[0] & 31;
        if (type == H264_IDR) look.key = SP_KEY_CLEAN;
        if (type == H264_SEI && look.key == SP_KEY_WARM && promises_exactness(unit, end))
            look.key = SP_KEY_TOLD;
        if (type >= H264_PICTURE_FIRST && type <= H264_IDR) picture = true;
    }
    check_picture(&look, &list, picture);
    return look;
}

/* The type of the picture's first unit, -1 without one. */
static int walk_hevc(units *list, bool *ends) {
    const uint8_t *unit, *end;
    int picture = -1;
    while (next_unit(list, &unit, &end)) {
        const int type = unit[0] >> 1 & 63;
        if (picture < 0 && type <= HEVC_VCL_LAST) picture = type;
        if (type == HEVC_END_OF_SEQUENCE || type == HEVC_END_OF_STREAM) *ends = true;
    }
    return picture;
}

/* RASL pictures are not output after a random access point that begins a sequence (H.265, 8.1.3:
 * NoRaslOutputFlag). */
static sp_look look_hevc(sp_key_state *state, const AVCodecParameters *codec,
                         const AVPacket *packet) {
    sp_look look = {.key = marked(packet, SP_KEY_WARM)};
    units list = units_of(codec, packet);
    bool ends = false;
    const int picture = walk_hevc(&list, &ends);
    check_picture(&look, &list, picture >= 0);
    if (picture >= HEVC_BLA_FIRST && picture <= HEVC_IRAP_LAST) {
        look.key = SP_KEY_CLEAN;
        state->skips_leading = !state->started || state->sequence_ended || picture <= HEVC_IDR_LAST;
        state->started = true;
    }
    if (picture == HEVC_RASL_N || picture == HEVC_RASL_R) look.hidden = state->skips_leading;
    state->sequence_ended = ends;
    return look;
}

/* RFC 6386, 9.1: the lowest bit of the first byte is clear in a key frame, the fifth is
 * show_frame. */
static sp_look look_vp8(const AVPacket *packet) {
    const int first = packet->data[0];
    return (sp_look){.key = (first & 1) == 0 ? SP_KEY_CLEAN : SP_KEY_NONE,
                     .hidden = (first & 0x10) == 0};
}

/* VP9 Bitstream Specification 6.2 (uncompressed header) and annex B (superframes, of which the last
 * frame is shown). */
static sp_look look_vp9(const AVPacket *packet) {
    const int first = packet->data[0], last = packet->data[packet->size - 1];
    const int bits = (first & 0x30) == 0x30 ? first << 1 : first; /* profile 3 has one bit more */
    const bool shows_existing = (bits & 8) != 0, inter = (bits & 4) != 0, shown = (bits & 2) != 0;
    const bool superframe = (last & 0xE0) == 0xC0;
    return (sp_look){.key = !shows_existing && !inter ? SP_KEY_CLEAN : SP_KEY_NONE,
                     .hidden = !superframe && !shows_existing && !shown,
                     .broken = (first & 0xC0) != 0x80};
}

/* ISO/IEC 14496-2, 6.2.5: vop_coding_type, 0 for intra, follows the start code. */
static sp_look look_mpeg4(const AVPacket *packet) {
    enum { VOP = 0xB6 };
    const uint8_t *end = packet->data + packet->size;
    const uint8_t *at = start_code(packet->data, end);
    while (end - at > 4 && at[3] != VOP) at = start_code(at + 3, end);
    const bool intra = end - at > 4 && at[4] >> 6 == 0;
    return (sp_look){.key = intra ? SP_KEY_CLEAN : SP_KEY_NONE};
}

static bool intra_only(const AVCodecParameters *codec) {
    const AVCodecDescriptor *about = avcodec_descriptor_get(codec->codec_id);
    return about != NULL && (about->props & AV_CODEC_PROP_INTRA_ONLY) != 0;
}

sp_look sp_key_look(sp_key_state *state, const AVCodecParameters *codec, const AVPacket *packet) {
    switch (codec->codec_id) {
    case AV_CODEC_ID_H264: return look_h264(codec, packet);
    case AV_CODEC_ID_HEVC: return look_hevc(state, codec, packet);
    case AV_CODEC_ID_VP8: return look_vp8(packet);
    case AV_CODEC_ID_VP9: return look_vp9(packet);
    case AV_CODEC_ID_MPEG4: return look_mpeg4(packet);
    default:
        return (sp_look){.key = intra_only(codec) ? SP_KEY_CLEAN : marked(packet, SP_KEY_CLEAN)};
    }
}
