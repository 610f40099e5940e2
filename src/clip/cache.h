/* Decoded frames kept for the next visit, bounded by bytes.
 *
 * What lies farthest from where the person is goes first, and behind the direction of travel sooner
 * than ahead of it: so a group that is larger than the budget keeps the part that is wanted next.
 * For any thread; the lock is held for the moving of pointers only. */
#ifndef SP_CLIP_CACHE_H
#define SP_CLIP_CACHE_H

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

#include "clip/frame.h"

typedef struct {
    pthread_mutex_t lock; /* over what follows */
    sp_frame **frames;    /* by number, upward */
    int count, room;
    size_t bytes, budget;
    int position, direction; /* of the person: -1 backward, +1 forward, 0 unknown */
    bool ready;
} sp_cache;

bool sp_cache_init(sp_cache *cache, size_t budget);
void sp_cache_clear(sp_cache *cache);
void sp_cache_set_budget(sp_cache *cache, size_t budget);
/* All frames go, the cache stays. */
void sp_cache_empty(sp_cache *cache);

void sp_cache_move(sp_cache *cache, int position, int direction);
/* As above, with the direction told by the step from the position before. */
void sp_cache_step(sp_cache *cache, int position);

/* A reference that is the caller's; NULL when it is not there. */
sp_frame *sp_cache_get(sp_cache *cache, int number);
bool sp_cache_has(sp_cache *cache, int number);
/* How many frames without a gap from `number` on, in that direction (-1 or +1). */
int sp_cache_span(sp_cache *cache, int number, int direction);
/* How many frames as those that are there the budget holds; 1 when there are none. */
int sp_cache_capacity(sp_cache *cache);
void sp_cache_measure(sp_cache *cache, int *count, size_t *bytes);
/* Keeps a reference, unless all others are nearer and fill the budget. A frame at the position
 * stays even when it alone exceeds the budget. */
void sp_cache_put(sp_cache *cache, sp_frame *frame);
/* References to all frames, `*count` of them; free the list. NULL when empty or without memory. */
sp_frame **sp_cache_list(sp_cache *cache, int *count);

#endif
