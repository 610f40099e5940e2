/* The best sound of a clip, decoded from front to back into samples at 48 kHz with their places.
 * Opened like its pictures: one descriptor, the containers that are allowed, nothing a clip names.
 */
#ifndef SP_CLIP_SOUND_STREAM_H
#define SP_CLIP_SOUND_STREAM_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include <libavcodec/avcodec.h>
#include <libswresample/swresample.h>

#include "clip/process.h"
#include "clip/reader.h"
#include "clip/sound_clock.h"

/* A frame whose place is known: decoding may begin shortly before it. */
typedef struct {
    int64_t at;
    double stamp_s;
    sp_sound_clock clock; /* before it was placed */
} sp_sound_anchor;

typedef struct {
    sp_process process; /* that does all this, socket -1: here */
    void *reply;        /* its last */
    sp_reader reader;
    double start_s; /* of frame 0, by the container's clock */
    AVStream *stream;
    AVCodecContext *codec;
    SwrContext *resampler;
    AVPacket *packet;
    AVFrame *frame;
    sp_sound_clock clock;
    sp_sound_anchor anchor; /* of the frame decoded last */
    int channels;           /* given: 1 or 2 */
    int64_t next;           /* place of the next sample of this run */
    float *samples;         /* of the block given last */
    int room;               /* samples of one channel */
    int at;                 /* samples of `frame` that were taken */
    int rate, from_channels;
    enum AVSampleFormat format;
    int errors;
    bool drained, ended;
    bool gone;               /* the process has ended */
    const atomic_bool *left; /* once true nobody waits any more; set before opening, or NULL */
} sp_sound_stream;

typedef struct {
    int64_t at;
    const float *samples; /* until the next block */
    int count;
} sp_sound_block;

bool sp_stream_open(sp_sound_stream *stream, const char *path, double start_s, sp_error *error);
/* In this process; takes `file`. */
bool sp_stream_open_file(sp_sound_stream *stream, int file, const char *path, double start_s,
                         sp_error *error);
void sp_stream_close(sp_sound_stream *stream);

/* False at the end. Blocks are bounded; those of one run follow on each other. */
bool sp_stream_next(sp_sound_stream *stream, sp_sound_block *block);
/* Goes on with the frame of the anchor, at the place it was given before. */
bool sp_stream_go(sp_sound_stream *stream, const sp_sound_anchor *anchor, sp_error *error);

#endif
