/* Writing a clip: pictures at their times, sound beside them. Also a picture as JPEG.
 *
 * What phones play: H.264 High, 4:2:0, 8 bit, BT.709, limited range, with AAC in MP4 whose index
 * stands at its head; or VP9 with Opus in WebM. The file appears under its name only once it is
 * whole: until then it is a temporary file beside it, which every failure and sp_encoder_close
 * remove. An encoder belongs to one thread and has threads of its own. */
#ifndef SERVEPLUMB_ENCODER_H
#define SERVEPLUMB_ENCODER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/clip.h"
#include "serveplumb/error.h"
#include "serveplumb/picture.h"

typedef enum { SP_CODING_H264, SP_CODING_VP9 } sp_coding;

typedef struct {
    sp_coding coding;
    int width, height;  /* even, 2..SP_ENCODER_SIDE_MAX */
    int sound_channels; /* 0: no sound; 1 or 2 */
    int quality;        /* constant rate factor; 0: 20 for H.264, 33 for VP9 */
    int threads;        /* 0: as many as there are processors */
} sp_encoder_options;
#define SP_ENCODER_SIDE_MAX 4096
#define SP_ENCODER_SOUND_RATE 48000

typedef struct sp_encoder sp_encoder;

/* Errors: SP_ERROR_FILE when nothing can be written there, SP_ERROR_FORMAT when this FFmpeg lacks
 * the coder. */
sp_encoder *sp_encoder_open(const char *path, const sp_encoder_options *options, sp_error *error);

/* The picture is shown from `from_s` to `to_s`, where the next must begin; NULL: the one before is
 * shown on. Times begin at 0. */
bool sp_encoder_add(sp_encoder *encoder, const sp_picture *picture, double from_s, double to_s,
                    sp_error *error);
/* A frame of a clip whose samples can be taken as they are, without the way over RGB: it fills the
 * rows from the top, `height` of them, and `layer` (of the encoder's size, transparent where
 * nothing is drawn) lies over it and over what is below. */
typedef struct {
    const sp_frame *frame;
    const sp_clip_facts *facts; /* of its clip */
    int height;                 /* even */
    sp_picture *layer; /* emptied where it lay over the frame, for the next to be drawn on it */
} sp_encoder_frame;
/* Whether it can: 8-bit 4:2:0, BT.709, limited range, not mirrored. */
bool sp_encoder_takes(const sp_frame *frame, const sp_clip_facts *facts);
bool sp_encoder_add_frame(sp_encoder *encoder, const sp_encoder_frame *frame, double from_s,
                          double to_s, sp_error *error);
/* The next `count` samples of each channel, interleaved, -1 to 1, SP_ENCODER_SOUND_RATE a second
 * from time 0 on. Kept near the pictures by the caller: what lies ahead is held in memory. */
bool sp_encoder_add_sound(sp_encoder *encoder, const float *samples, size_t count, sp_error *error);
/* Completes the file and gives it its name; a file that was there is replaced, and on failure left
 * as it was. The encoder is still closed by the caller. */
bool sp_encoder_finish(sp_encoder *encoder, sp_error *error);
void sp_encoder_close(sp_encoder *encoder);

/* Baseline JPEG of an opaque picture, quality 1 (smallest) to 100 (best). `bytes` is freed by the
 * caller and NULL on failure. */
bool sp_picture_encode_jpeg(const sp_picture *picture, int quality, uint8_t **bytes, size_t *length,
                            sp_error *error);

#endif
