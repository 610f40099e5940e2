#include "clip/decoder.h"

#include <stdlib.h>

#include <libavutil/cpu.h>

#include "clip/layout.h"
#include "clip/refusal.h"

enum { THREADS_MAX = 8 };
/* ITU-T H.264, A.3.1: the decoded picture buffer holds at most 16 frames. */
enum { H264_DEPTH_MAX = 16 };

static void set_depth(AVCodecContext *codec, int depth) {
    if (codec->codec_id != AV_CODEC_ID_H264) return;
    if (depth > H264_DEPTH_MAX) depth = H264_DEPTH_MAX;
    if (codec->has_b_frames < depth) codec->has_b_frames = depth;
}

static void set_threads(AVCodecContext *codec, int threads) {
    const int found = threads > 0 ? threads : av_cpu_count();
    codec->thread_count = found < THREADS_MAX ? found : THREADS_MAX;
    codec->thread_type = FF_THREAD_FRAME | FF_THREAD_SLICE; /* whole frames where it can */
}

static sp_ties *make_ties(sp_pool *pool, atomic_uint *complaints) {
    sp_ties *ties = calloc(1, sizeof *ties);
    if (ties == NULL) return NULL;
    *ties = (sp_ties){.pool = pool != NULL ? sp_pool_ref(pool) : sp_pool_new(NULL),
                      .complaints = complaints};
    if (ties->pool != NULL) return ties;
    free(ties);
    return NULL;
}

bool sp_decoder_open(sp_decoder *decoder, const sp_reader *reader, const sp_decoder_ways *ways,
                     sp_error *error) {
    const AVCodecParameters *stored = reader->stream->codecpar;
    const AVCodec *kind = avcodec_find_decoder(stored->codec_id);
    if (kind == NULL) return sp_refuse_codec(reader->path, stored, error);
    AVCodecContext *codec = avcodec_alloc_context3(kind);
    *decoder = (sp_decoder){.codec = codec, .ties = make_ties(ways->pool, ways->complaints)};
    if (codec == NULL || decoder->ties == NULL ||
        avcodec_parameters_to_context(codec, stored) < 0) {
        sp_decoder_close(decoder);
        return sp_refuse_memory(reader->path, error);
    }
    codec->opaque = decoder->ties;
    codec->max_pixels = SP_CLIP_PIXELS_MAX;
    codec->pkt_timebase = reader->stream->time_base;
    set_depth(codec, ways->depth);
    set_threads(codec, ways->threads);
    sp_layout_serve(codec);
    if (avcodec_open2(codec, kind, NULL) >= 0) return true;
    sp_decoder_close(decoder);
    return sp_refuse_codec(reader->path, stored, error);
}

void sp_decoder_close(sp_decoder *decoder) {
    avcodec_free_context(&decoder->codec);
    if (decoder->ties != NULL) sp_pool_unref(decoder->ties->pool);
    free(decoder->ties);
    decoder->ties = NULL;
}

int sp_decoder_lag(const sp_decoder *decoder) {
    const bool frames = (decoder->codec->active_thread_type & FF_THREAD_FRAME) != 0;
    return frames ? decoder->codec->thread_count - 1 : 0;
}
