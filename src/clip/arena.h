/* Memory that a decoder's process and ours have in common.
 *
 * The other process writes pictures into it, this one reads them where they lie. At its head is a
 * count for each slot of how often it was given back, which is all that this side writes: a slot
 * is free when that equals how often it was lent. Whoever reads believes no number that the other
 * wrote; only the values of pixels can change under their hands. */
#ifndef SP_CLIP_ARENA_H
#define SP_CLIP_ARENA_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <libavutil/buffer.h>

#define SP_ARENA_SLOTS_MAX 262144
#define SP_ARENA_HEAD ((size_t)2 << 20)
/* Behind the last picture there is so much that may be read, and is of nobody: converters read
 * whole vectors. */
#define SP_ARENA_TAIL ((size_t)64 << 10)

typedef struct {
    uint8_t *memory; /* at a boundary of large pages */
    size_t bytes;
    atomic_uint *returned; /* by slot */
} sp_arena;

/* A file in memory of this size, without a name, filled where it is touched: from `folder`, one
 * with large pages, where that is not -1. -1 where there is none to be had. */
int sp_arena_file(int folder, size_t bytes);

/* False without address space, or when the file is not of this size or may shrink. */
bool sp_arena_map(sp_arena *arena, int file, size_t bytes, bool to_write);
void sp_arena_unmap(sp_arena *arena);

/* The reader's side, which lives as long as a picture in it does. */
typedef struct sp_arena_view sp_arena_view;
sp_arena_view *sp_arena_view_new(int file, size_t bytes);
void sp_arena_view_unref(sp_arena_view *view);

typedef struct {
    uint32_t slot;
    uint64_t offset, bytes;
} sp_arena_place;
/* NULL when the place is not inside, and without memory. Giving it back returns the slot. */
AVBufferRef *sp_arena_view_get(sp_arena_view *view, const sp_arena_place *place);

#endif
