/* How the planes of a decoded picture lie in one buffer of a pool. */
#ifndef SP_CLIP_LAYOUT_H
#define SP_CLIP_LAYOUT_H

#include <libavcodec/avcodec.h>

#include "clip/pool.h"

/* Before the decoder is opened: lets it decode into memory of the pool, which `codec->opaque`
 * points to. */
void sp_layout_serve(AVCodecContext *codec, sp_pool *pool);

#endif
