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

typedef struct {
    int threads; /* 0: as many as there are processors, at most 8 */
    int depth;   /* pictures held back at least, so that none comes out of order before the decoder
                    has found the depth by itself */
    sp_pool *pool;           /* for its pictures; NULL: one of its own */
    atomic_uint *complaints; /* counts its errors; NULL: nobody does */
} sp_decoder_ways;

bool sp_decoder_open(sp_decoder *decoder, const sp_reader *reader, const sp_decoder_ways *ways,
                     sp_error *error);
void sp_decoder_close(sp_decoder *decoder);
/* Packets that it may hold before it tells the fault of the first of them. */
int sp_decoder_lag(const sp_decoder *decoder);

#endif
