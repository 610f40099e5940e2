/* Decoded frames kept for the next visit, bounded by bytes; the one visited longest ago goes first.
 */
#ifndef SP_CLIP_CACHE_H
#define SP_CLIP_CACHE_H

#include <stdbool.h>
#include <stddef.h>

#include "clip/frame.h"

typedef struct sp_cached sp_cached;

typedef struct {
    sp_cached **by_number;
    int count;
    sp_cached *newest, *oldest;
    size_t bytes, budget;
} sp_cache;

bool sp_cache_init(sp_cache *cache, int frames, size_t budget);
void sp_cache_clear(sp_cache *cache);
/* All frames go, the cache stays. */
void sp_cache_empty(sp_cache *cache);

/* Borrowed until the next put; NULL when it is not there. Counts as a visit. */
sp_frame *sp_cache_get(sp_cache *cache, int number);
/* Keeps a reference. The frame put last stays even when it alone exceeds the budget. */
void sp_cache_put(sp_cache *cache, sp_frame *frame);

#endif
