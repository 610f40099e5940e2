/* What a decoder's `opaque` points to: the parts of ours that its callbacks serve. */
#ifndef SP_CLIP_TIES_H
#define SP_CLIP_TIES_H

#include <stdatomic.h>

#include "clip/pool.h"

typedef struct {
    sp_pool *pool;           /* for its pictures */
    atomic_uint *complaints; /* counts its errors; NULL: nobody does */
} sp_ties;

#endif
