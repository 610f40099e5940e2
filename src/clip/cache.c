#include "clip/cache.h"

#include <assert.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

/* A frame behind counts as this much farther away than one ahead. */
enum { BEHIND = 4 };

bool sp_cache_init(sp_cache *cache, size_t budget) {
    *cache = (sp_cache){.budget = budget};
    return cache->ready = pthread_mutex_init(&cache->lock, NULL) == 0;
}

void sp_cache_empty(sp_cache *cache) {
    pthread_mutex_lock(&cache->lock);
    sp_frame **frames = cache->frames;
    const int count = cache->count;
    cache->frames = NULL;
    cache->count = cache->room = 0;
    cache->bytes = 0;
    pthread_mutex_unlock(&cache->lock);
    for (int i = 0; i < count; i++) sp_frame_unref(frames[i]);
    free(frames);
}

void sp_cache_clear(sp_cache *cache) {
    if (!cache->ready) return;
    sp_cache_empty(cache);
    pthread_mutex_destroy(&cache->lock);
    cache->ready = false;
}

void sp_cache_set_budget(sp_cache *cache, size_t budget) {
    pthread_mutex_lock(&cache->lock);
    cache->budget = budget;
    pthread_mutex_unlock(&cache->lock);
}

void sp_cache_move(sp_cache *cache, int position, int direction) {
    pthread_mutex_lock(&cache->lock);
    cache->position = position;
    cache->direction = direction;
    pthread_mutex_unlock(&cache->lock);
}

void sp_cache_step(sp_cache *cache, int position) {
    pthread_mutex_lock(&cache->lock);
    if (position != cache->position) cache->direction = position > cache->position ? 1 : -1;
    cache->position = position;
    pthread_mutex_unlock(&cache->lock);
}

/* --- under the lock --- */

/* The place of the first frame of this number or a higher one. */
static int find(const sp_cache *cache, int number) {
    int low = 0, high = cache->count;
    while (low < high) {
        const int middle = low + (high - low) / 2;
        if (cache->frames[middle]->number < number) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static bool is_at(const sp_cache *cache, int place, int number) {
    return place >= 0 && place < cache->count && cache->frames[place]->number == number;
}

static sp_frame *detach(sp_cache *cache, int place) {
    sp_frame *frame = cache->frames[place];
    cache->count--;
    memmove(cache->frames + place, cache->frames + place + 1,
            sizeof(sp_frame *) * (size_t)(cache->count - place));
    cache->bytes -= sp_frame_bytes(frame);
    return frame;
}

static bool insert(sp_cache *cache, int place, sp_frame *frame) {
    if (cache->count == cache->room) {
        const int room = cache->room == 0 ? 64 : cache->room * 2;
        sp_frame **frames = realloc(cache->frames, sizeof(sp_frame *) * (size_t)room);
        if (frames == NULL) return false;
        cache->frames = frames;
        cache->room = room;
    }
    memmove(cache->frames + place + 1, cache->frames + place,
            sizeof(sp_frame *) * (size_t)(cache->count - place));
    cache->frames[place] = frame;
    cache->count++;
    cache->bytes += sp_frame_bytes(frame);
    return true;
}

static long long distance(const sp_cache *cache, int place) {
    const long long way = (long long)cache->frames[place]->number - cache->position;
    const bool behind = way * cache->direction < 0;
    return (way < 0 ? -way : way) * (behind ? BEHIND : 1);
}

/* The farthest is the first or the last. */
static int farthest(const sp_cache *cache) {
    const int last = cache->count - 1;
    return distance(cache, 0) > distance(cache, last) ? 0 : last;
}

static sp_frame *detach_surplus(sp_cache *cache) {
    if (cache->bytes <= cache->budget || cache->count <= 1) return NULL;
    return detach(cache, farthest(cache));
}

/* --- */

sp_frame *sp_cache_get(sp_cache *cache, int number) {
    pthread_mutex_lock(&cache->lock);
    const int place = find(cache, number);
    sp_frame *frame = is_at(cache, place, number) ? sp_frame_ref(cache->frames[place]) : NULL;
    pthread_mutex_unlock(&cache->lock);
    return frame;
}

bool sp_cache_has(sp_cache *cache, int number) { return sp_cache_span(cache, number, 1) > 0; }

int sp_cache_span(sp_cache *cache, int number, int direction) {
    assert(direction == 1 || direction == -1);
    pthread_mutex_lock(&cache->lock);
    const int place = find(cache, number);
    int span = 0;
    while (is_at(cache, place + span * direction, number + span * direction)) span++;
    pthread_mutex_unlock(&cache->lock);
    return span;
}

int sp_cache_capacity(sp_cache *cache) {
    pthread_mutex_lock(&cache->lock);
    const size_t one = cache->count > 0 ? cache->bytes / (size_t)cache->count : cache->budget;
    const size_t capacity = one > 0 ? cache->budget / one : 1;
    pthread_mutex_unlock(&cache->lock);
    return capacity < 1 ? 1 : capacity > INT_MAX ? INT_MAX : (int)capacity;
}

void sp_cache_measure(sp_cache *cache, int *count, size_t *bytes) {
    pthread_mutex_lock(&cache->lock);
    *count = cache->count;
    *bytes = cache->bytes;
    pthread_mutex_unlock(&cache->lock);
}

void sp_cache_put(sp_cache *cache, sp_frame *frame) {
    pthread_mutex_lock(&cache->lock);
    const int place = find(cache, frame->number);
    sp_frame *former = is_at(cache, place, frame->number) ? detach(cache, place) : NULL;
    /* Without memory it is not kept, and decoded anew at the next visit. */
    if (insert(cache, place, frame)) sp_frame_ref(frame);
    pthread_mutex_unlock(&cache->lock);
    sp_frame_unref(former);
    for (;;) {
        pthread_mutex_lock(&cache->lock);
        sp_frame *surplus = detach_surplus(cache);
        pthread_mutex_unlock(&cache->lock);
        if (surplus == NULL) break;
        sp_frame_unref(surplus);
    }
}

sp_frame **sp_cache_list(sp_cache *cache, int *count) {
    pthread_mutex_lock(&cache->lock);
    *count = cache->count;
    sp_frame **list = cache->count > 0 ? calloc((size_t)cache->count, sizeof(sp_frame *)) : NULL;
    if (list == NULL) *count = 0;
    for (int i = 0; i < *count; i++) list[i] = sp_frame_ref(cache->frames[i]);
    pthread_mutex_unlock(&cache->lock);
    return list;
}
