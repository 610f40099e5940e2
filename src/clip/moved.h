/* What FFmpeg has moved since 5.1, in one place: told by the macros that came with the new way,
 * and, where it has none, by the version. */
#ifndef SP_CLIP_MOVED_H
#define SP_CLIP_MOVED_H

#include <stdbool.h>

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/frame.h>

/* 6.1: profiles have names of their own header. */
#ifdef AV_PROFILE_H264_HIGH
#define SP_PROFILE_H264_HIGH AV_PROFILE_H264_HIGH
#else
#define SP_PROFILE_H264_HIGH FF_PROFILE_H264_HIGH
#endif

/* 6.1: a flag; the member of its own is gone from 8 on. */
static inline bool sp_is_interlaced(const AVFrame *picture) {
#ifdef AV_FRAME_FLAG_INTERLACED
    return (picture->flags & AV_FRAME_FLAG_INTERLACED) != 0;
#else
    return picture->interlaced_frame != 0;
#endif
}

/* The 3x3 matrix of a stream, 36 bytes; NULL: none. 6.1: with the stream's parameters, no longer
 * with the stream. */
static inline const uint8_t *sp_display_matrix(const AVStream *stream) {
#if LIBAVCODEC_VERSION_INT >= AV_VERSION_INT(60, 31, 100)
    const AVPacketSideData *found =
        av_packet_side_data_get(stream->codecpar->coded_side_data,
                                stream->codecpar->nb_coded_side_data, AV_PKT_DATA_DISPLAYMATRIX);
    return found == NULL || found->size < 36 ? NULL : found->data;
#else
    size_t size = 0;
    const uint8_t *data = av_stream_get_side_data(stream, AV_PKT_DATA_DISPLAYMATRIX, &size);
    return size < 36 ? NULL : data;
#endif
}

#endif
