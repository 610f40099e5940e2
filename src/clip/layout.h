/* How the planes of a decoded picture lie in one buffer of a pool. */
#ifndef SP_CLIP_LAYOUT_H
#define SP_CLIP_LAYOUT_H

#include <libavcodec/avcodec.h>

/* Before the decoder is opened: lets it decode into memory of the pool in the ties that
 * `codec->opaque` points to. */
void sp_layout_serve(AVCodecContext *codec);

#endif
