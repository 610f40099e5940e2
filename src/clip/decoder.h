/* The decoder of the picture stream. */
#ifndef SP_CLIP_DECODER_H
#define SP_CLIP_DECODER_H

#include <stdatomic.h>

#include <libavcodec/avcodec.h>

#include "clip/reader.h"
#include "clip/ties.h"

typedef struct {
    AVCodecContext *codec;
    sp_ties *ties;
} sp_decoder;

/* `threads` 0: as many as there are processors, at most 8. `depth`: pictures held back at least, so
 * that none comes out of order before the decoder has found the depth by itself. `complaints`
 * counts its errors, NULL: nobody does. */
bool sp_decoder_open(sp_decoder *decoder, const sp_reader *reader, int threads, int depth,
                     atomic_uint *complaints, sp_error *error);
void sp_decoder_close(sp_decoder *decoder);
/* Packets that it may hold before it tells the fault of the first of them. */
int sp_decoder_lag(const sp_decoder *decoder);

#endif
