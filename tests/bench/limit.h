/* The limit of a visit: a plain loop over libavcodec that seeks to the right key packet, which it
 * is told, and decodes until the picture comes, with the same threads. What it costs to begin is in
 * it: the first picture is the largest, and the threads have nothing to do at first. */
#ifndef SP_BENCH_LIMIT_H
#define SP_BENCH_LIMIT_H

#include <fcntl.h>

#include "clip/footage.h"
#include "raw_loop.h"

static inline bool limit_finds_none(void *context, sp_index *index, const sp_reader *reader) {
    (void)context, (void)index, (void)reader;
    return false;
}

static inline void limit_keeps_none(void *context, const sp_index *index, const sp_reader *reader) {
    (void)context, (void)index, (void)reader;
}

static inline void limit_open_index(sp_footage *footage, const char *path, int threads) {
    const sp_keeper nobody = {limit_finds_none, limit_keeps_none, NULL};
    if (!sp_footage_open(footage, open(path, O_RDONLY | O_CLOEXEC), path, threads, NULL, &nobody,
                         NULL))
        raw_fail("index", path);
}

/* Sends packets, numbered from `start` on, until the picture of packet `serial` comes. */
static inline bool limit_decode(raw_loop *raw, const sp_index *index, int start, int serial) {
    int next = -1;
    for (bool more = true; more;) {
        more = av_read_frame(raw->file, raw->packet) >= 0;
        if (more && raw->packet->stream_index == raw->stream) {
            if (next < 0 && sp_index_matches(index, start, raw->packet, true)) next = start;
            raw->packet->pts = next;
            if (next >= 0) avcodec_send_packet(raw->codec, raw->packet);
            next += next >= 0;
        } else if (!more) {
            avcodec_send_packet(raw->codec, NULL);
        }
        av_packet_unref(raw->packet);
        while (next >= 0 && avcodec_receive_frame(raw->codec, raw->frame) >= 0) {
            const bool found = raw->frame->pts == serial;
            av_frame_unref(raw->frame);
            if (found) return true;
        }
    }
    return false;
}

/* Frame n, from wherever it is; false where a plain seek does not lead to the key. */
static inline bool limit_visit(raw_loop *raw, const sp_index *index, int n) {
    const int serial = index->serials[n], start = sp_index_start(index, serial);
    const int64_t dts = index->packets[start].dts;
    avcodec_flush_buffers(raw->codec);
    return av_seek_frame(raw->file, raw->stream, dts, AVSEEK_FLAG_BACKWARD) >= 0 &&
           limit_decode(raw, index, start, serial);
}

#endif
