/* Memory for decoded pictures.
 *
 * Pictures that are kept are never written again, so that a decoder fills new memory all the time;
 * page by page that took a sixth of the time of decoding 1080p. Here it comes in large pages where
 * the system has them, and what is given back is used again. */
#ifndef SP_CLIP_POOL_H
#define SP_CLIP_POOL_H

#include <stdbool.h>
#include <stddef.h>

#include <libavutil/buffer.h>

#include "clip/arena.h"

typedef struct sp_pool sp_pool;

/* In `arena`, which is borrowed, or in memory of its own when that is NULL. NULL without memory. */
sp_pool *sp_pool_new(sp_arena *arena);
sp_pool *sp_pool_ref(sp_pool *pool);
/* The memory goes when the last buffer of it was given back. */
void sp_pool_unref(sp_pool *pool);

/* NULL without memory. For any thread, and so is giving back. */
AVBufferRef *sp_pool_get(sp_pool *pool, size_t bytes);

/* Lends a buffer to the other side of the arena: it is not used again before it has come back from
 * there as well. False when it is not one of this pool. */
bool sp_pool_lend(sp_pool *pool, const AVBufferRef *buffer, sp_arena_place *place);

#endif
