/* The parts of an encoder: one stream each for pictures and sound, and the file they go to. */
#ifndef SP_CLIP_ENCODE_H
#define SP_CLIP_ENCODE_H

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libswscale/swscale.h>

#include "clip/encode_file.h"
#include "serveplumb/encoder.h"

/* Ticks of the pictures' clock, as MPEG has it. */
#define SP_ENCODE_TICKS 90000
/* More than a coder looks ahead. */
#define SP_ENCODE_SPANS 512

struct sp_encoder {
    sp_encoder_options options;
    sp_encode_file file;
    AVFormatContext *format;
    AVPacket *packet;
    bool started; /* the head of the file is written */

    AVCodecContext *video;
    AVStream *video_stream;
    AVFrame *picture;
    struct SwsContext *scaler;
    struct SwsContext *resizer; /* of frames taken as they are */
    AVFrame *resized;
    sp_picture
        band;    /* of the layer before, below its frame: what has not changed is there already */
    bool banded; /* the picture holds it */
    struct {
        int64_t from, ticks;
    } spans[SP_ENCODE_SPANS]; /* of the last pictures: coders do not hand durations on */
    size_t span_count;

    AVCodecContext *sound;
    AVStream *sound_stream;
    AVFrame *samples; /* being filled */
    int filled;
    int64_t sample_count;
};

bool sp_encode_video_open(sp_encoder *encoder, sp_error *error);
bool sp_encode_sound_open(sp_encoder *encoder, sp_error *error);
/* The rest of both; only once. */
bool sp_encode_sound_flush(sp_encoder *encoder, sp_error *error);
bool sp_encode_video_flush(sp_encoder *encoder, sp_error *error);
/* `frame` NULL: no more. Writes what the coder gives. */
bool sp_encode_send(sp_encoder *encoder, AVCodecContext *coder, AVStream *stream, AVFrame *frame,
                    sp_error *error);
/* The picture as it stands now, for that time. */
bool sp_encode_show(sp_encoder *encoder, double from_s, double to_s, sp_error *error);
bool sp_encode_fail(const sp_encoder *encoder, int code, sp_error *error);
/* Opaque pixels of ours to a frame of the coder. */
struct SwsContext *sp_encode_scaler_new(int width, int height, enum AVPixelFormat to,
                                        bool full_range);

#endif
