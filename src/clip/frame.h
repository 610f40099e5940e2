/* A decoded picture, in the format of its decoder, that outlives the cache and the clip. */
#ifndef SP_CLIP_FRAME_H
#define SP_CLIP_FRAME_H

#include <stdatomic.h>

#include <libavutil/frame.h>

#include "clip/converter.h"
#include "serveplumb/clip.h"

struct sp_frame {
    atomic_int references;
    atomic_bool damaged;
    int number;
    bool reduced; /* smaller than the frame, and not exact */
    AVFrame *picture;
    sp_converter *converter; /* shared by the frames of a clip */
};

/* Takes over what `picture` holds. NULL without memory. */
sp_frame *sp_frame_new(AVFrame *picture, int number, sp_converter *converter);
size_t sp_frame_bytes(const sp_frame *frame);

#endif
