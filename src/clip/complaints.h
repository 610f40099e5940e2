/* What FFmpeg would print. Nothing is printed; what decoders complain of is counted, since some
 * faults of a clip are told in no other way. */
#ifndef SP_CLIP_COMPLAINTS_H
#define SP_CLIP_COMPLAINTS_H

#include <stdatomic.h>

#include <libavcodec/avcodec.h>

/* Once, before any other call to FFmpeg. */
void sp_complaints_set_up(void);
/* The decoder's complaints are added to `counter`, also from its threads; takes its `opaque`. */
void sp_complaints_count(AVCodecContext *decoder, atomic_uint *counter);

#endif
