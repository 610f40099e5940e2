/* Memory for decoded pictures.
 *
 * Pictures that are kept are never written again, so that a decoder fills new memory all the time;
 * page by page that took a sixth of the time of decoding 1080p. Here it comes in large pages where
 * the system has them, and what is given back is used again. */
#ifndef SP_CLIP_POOL_H
#define SP_CLIP_POOL_H

#include <stddef.h>

#include <libavutil/buffer.h>

typedef struct sp_pool sp_pool;

/* NULL without memory. */
sp_pool *sp_pool_new(void);
/* The memory goes when the last buffer of it was given back. */
void sp_pool_unref(sp_pool *pool);

/* NULL without memory. For any thread, and so is giving back. */
AVBufferRef *sp_pool_get(sp_pool *pool, size_t bytes);

#endif
