/* Exact access to the frames of a clip. The promise: the frame given is exactly the frame named.
 *
 * Frames are numbered from 0 in display order. What an edit list cuts away, and what at the head of
 * a clip lacks the pictures it is predicted from, is neither shown nor counted: `ffmpeg` numbers
 * the same way. A clip belongs to one thread; its frames may be used by any, also after the clip
 * was closed. Only local files in the allowed containers (mov/mp4, matroska/webm, avi, mpegts) are
 * opened; nothing a clip names is.
 */
#ifndef SERVEPLUMB_CLIP_H
#define SERVEPLUMB_CLIP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"
#include "serveplumb/picture.h"

typedef struct sp_clip sp_clip;
typedef struct sp_frame sp_frame;

typedef struct {
    size_t cache_bytes;   /* 0: 512 MiB */
    int threads;          /* 0: as many as there are processors, at most 8 */
    bool in_this_process; /* decodes here, whatever sp_decoders_start has prepared */
    /* Asked every now and then while sp_clip_open waits for the clip's process, in its thread: true
     * ends the wait with SP_ERROR_CANCELLED. NULL: it is waited for. */
    bool (*gives_up)(void *whom);
    void *whom;
} sp_clip_options;

typedef struct {
    char container[32], codec[32], pixel_format[32];
    int width, height;             /* upright, square pixels */
    int coded_width, coded_height; /* as stored */
    int rotation_deg; /* clockwise turn that makes the stored picture upright: 0, 90, 180, 270 */
    bool mirrored;    /* the display matrix also flips left and right, before the turn */
    int aspect_num, aspect_den; /* sample aspect ratio as stored; 1:1 when unknown */
    int bits;                   /* of one component */
    bool full_range;
    char matrix[16], transfer[16], primaries[16]; /* names as FFmpeg gives them, "unknown" else */
    bool interlaced;
    int frames;
    double duration_s; /* from frame 0 to the end of the last, by the clip's clock */
    double rate; /* frames/s: (frames - 1) / (time of last - time of first); 0 for one frame */
    bool variable_rate;            /* steps differ by more than rounding of the time base */
    double step_min_s, step_max_s; /* shortest and longest time from a frame to the next */
    int step_max_frame;            /* the longest step begins at this frame */
    double capture_rate;        /* frames/s that the clip itself says it was shot at; 0 when it says
                                   nothing */
    bool slow_motion_suspected; /* capture_rate above rate, or a rate of 100 and more */
    bool times_guessed;         /* timestamps were missing or doubled and had to be put in order */
    bool cut_short;             /* the table of contents goes on beyond the end of the file */
    bool sound;
    char sound_codec[32];
    int sound_rate, sound_channels;
    double start_s; /* of frame 0, by the clock that pictures and sound of the container share */
} sp_clip_facts;

/* To be called first in main, before any thread is started. From then on each clip is read and
 * decoded in a process of its own, which holds the one open file and can neither open another nor
 * reach the network nor start a program; its pictures come through shared memory. When it ends,
 * sp_clip_frame fails with SP_ERROR_DECODER. False where no process can be had: clips are then
 * decoded in this one. */
bool sp_decoders_start(void);
/* Whether this clip was to be decoded shut in like that, and is not: no process could be had, or
 * the kernel has nothing to shut it in with. */
bool sp_clip_is_unguarded(const sp_clip *clip);

/* Opens and indexes. `options` may be NULL. The error says in one line what the file is instead. */
sp_clip *sp_clip_open(const char *path, const sp_clip_options *options, sp_error *error);
void sp_clip_close(sp_clip *clip);
/* After SP_ERROR_DECODER: with a new process for the same file. What was given stays good, facts
 * and times stay where they are. On failure the clip stays as it was, and may be tried again. */
bool sp_clip_reopen(sp_clip *clip, sp_error *error);

const sp_clip_facts *sp_clip_get_facts(const sp_clip *clip);
/* Seconds of each frame since frame 0 by the clip's own clock, `facts.frames` of them; borrowed. */
const double *sp_clip_times(const sp_clip *clip);

/* Frame n as decoded, equal byte for byte to frame n of a straight decode, from any earlier state.
 * Owned: give it back with sp_frame_unref. SP_ERROR_END past the last frame; SP_ERROR_DAMAGED when
 * no picture can be had for it, which is remembered; SP_ERROR_FILE when the file has changed. Other
 * frames can still be had after any of these. */
sp_frame *sp_clip_frame(sp_clip *clip, int n, sp_error *error);
sp_frame *sp_frame_ref(sp_frame *frame);
void sp_frame_unref(sp_frame *frame);

int sp_frame_number(const sp_frame *frame);
/* The decoder met errors in it, or in what it was predicted from: all from the error to the next
 * key that ends it. Damage that the codec's own syntax does not show stays unseen. */
bool sp_frame_damaged(const sp_frame *frame);
/* MD5 of the native planes without padding, lower-case hex: equals `ffmpeg ... -f framemd5`. */
bool sp_frame_md5(const sp_frame *frame, char hex[33], sp_error *error);

/* Upright, square-pixel, 8-bit sRGB copy into a picture the caller made; its size sets the scaling
 * (facts.width x facts.height for full resolution). Opaque. HLG and PQ are mapped to standard range
 * (ITU-R BT.2390, diffuse white 203 cd/m2 of BT.2408), BT.2020 and Display P3 to the primaries of
 * sRGB; what a clip leaves unsaid is shown as it is. From any thread. Only
 * SP_ERROR_MEMORY. */
bool sp_frame_to_picture(const sp_frame *frame, sp_picture *picture, sp_error *error);

/* The native planes where a renderer can take them as they are: 8-bit 4:2:0 of a matrix that it
 * knows (where the clip names none: BT.601 below 720 rows, else BT.709, as sp_frame_to_picture
 * takes it). Not upright: flip when facts.mirrored, then turn by facts.rotation_deg; stored pixels,
 * so scale to facts.width x facts.height. False: use sp_frame_to_picture. Borrowed until
 * the frame is given back. */
typedef enum { SP_MATRIX_BT601, SP_MATRIX_BT709, SP_MATRIX_BT601_FULL } sp_matrix;
typedef struct {
    int width, height;
    bool interleaved; /* NV12: plane 1 holds Cb and Cr; else I420 with planes 1 and 2 */
    const uint8_t *data[3];
    int stride[3];
    sp_matrix matrix;
} sp_frame_planes;
bool sp_frame_get_planes(const sp_frame *frame, sp_frame_planes *planes);

/* SHA-256 of the whole file, lower-case hex. */
bool sp_file_sha256(const char *path, char hex[65], sp_error *error);
/* Of so many bytes; false without memory. */
bool sp_bytes_sha256(const void *bytes, size_t length, char hex[65]);

#endif
