#include "clip/cache.h"

#include <assert.h>
#include <stdlib.h>

struct sp_cached {
    sp_frame *frame;
    size_t bytes;
    sp_cached *newer, *older;
};

bool sp_cache_init(sp_cache *cache, int frames, size_t budget) {
    *cache = (sp_cache){.count = frames, .budget = budget};
    cache->by_number = calloc((size_t)frames + 1, sizeof(sp_cached *));
    return cache->by_number != NULL;
}

static void unlink_entry(sp_cache *cache, sp_cached *entry) {
    *(entry->newer != NULL ? &entry->newer->older : &cache->newest) = entry->older;
    *(entry->older != NULL ? &entry->older->newer : &cache->oldest) = entry->newer;
    entry->newer = entry->older = NULL;
}

static void link_newest(sp_cache *cache, sp_cached *entry) {
    entry->older = cache->newest;
    *(cache->newest != NULL ? &cache->newest->newer : &cache->oldest) = entry;
    cache->newest = entry;
}

static void drop(sp_cache *cache, sp_cached *entry) {
    unlink_entry(cache, entry);
    cache->bytes -= entry->bytes;
    cache->by_number[entry->frame->number] = NULL;
    sp_frame_unref(entry->frame);
    free(entry);
}

static void drop_oldest(sp_cache *cache) {
    assert(cache->oldest->older == NULL);
    drop(cache, cache->oldest);
}

void sp_cache_empty(sp_cache *cache) {
    while (cache->oldest != NULL) drop_oldest(cache);
}

void sp_cache_clear(sp_cache *cache) {
    sp_cache_empty(cache);
    free(cache->by_number);
    *cache = (sp_cache){0};
}

sp_frame *sp_cache_get(sp_cache *cache, int number) {
    assert(number >= 0 && number < cache->count);
    sp_cached *entry = cache->by_number[number];
    if (entry == NULL) return NULL;
    unlink_entry(cache, entry);
    link_newest(cache, entry);
    return entry->frame;
}

void sp_cache_put(sp_cache *cache, sp_frame *frame) {
    assert(frame->number >= 0 && frame->number < cache->count);
    if (cache->by_number[frame->number] != NULL) drop(cache, cache->by_number[frame->number]);
    sp_cached *entry = calloc(1, sizeof *entry);
    if (entry == NULL) return; /* not kept, and decoded anew at the next visit */
    entry->frame = sp_frame_ref(frame);
    entry->bytes = sp_frame_bytes(frame);
    cache->by_number[frame->number] = entry;
    cache->bytes += entry->bytes;
    link_newest(cache, entry);
    while (cache->bytes > cache->budget && cache->oldest != entry) drop_oldest(cache);
}
