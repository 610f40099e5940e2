#include "clip/pool.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>

/* A large page of x86 and of ARM with 4 KiB pages. */
static const size_t large_page = (size_t)2 << 20;
/* Memory is asked for in this much, rounded up for larger pictures. */
static const size_t slab_bytes = (size_t)16 << 20;
typedef struct slot slot;
struct slot {
    slot *next; /* of those that are free */
    sp_pool *pool;
    uint8_t *data;
};

typedef struct slab slab;
struct slab {
    slab *next;
    void *memory;
    size_t bytes;
    slot *slots;
};

struct sp_pool {
    pthread_mutex_t lock; /* over what follows */
    int references;       /* the owner's, and one for each buffer that is out */
    size_t size;          /* of a slot */
    slot *free;
    slab *slabs;
};

sp_pool *sp_pool_new(void) {
    sp_pool *pool = calloc(1, sizeof *pool);
    if (pool == NULL) return NULL;
    if (pthread_mutex_init(&pool->lock, NULL) != 0) {
        free(pool);
        return NULL;
    }
    pool->references = 1;
    return pool;
}

static void destroy(sp_pool *pool) {
    while (pool->slabs != NULL) {
        slab *first = pool->slabs;
        pool->slabs = first->next;
        munmap(first->memory, first->bytes);
        free(first->slots);
        free(first);
    }
    pthread_mutex_destroy(&pool->lock);
    free(pool);
}

void sp_pool_unref(sp_pool *pool) {
    if (pool == NULL) return;
    pthread_mutex_lock(&pool->lock);
    const bool last = --pool->references == 0;
    pthread_mutex_unlock(&pool->lock);
    if (last) destroy(pool);
}

static size_t round_up(size_t value, size_t unit) { return (value + unit - 1) / unit * unit; }

/* Address space at a boundary of large pages. */
static void *map_aligned(size_t bytes) {
    const size_t asked = bytes + large_page;
    uint8_t *memory = mmap(NULL, asked, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (memory == MAP_FAILED) return NULL;
    const size_t head = round_up((uintptr_t)memory, large_page) - (uintptr_t)memory;
    if (head > 0) munmap(memory, head);
    munmap(memory + head + bytes, asked - head - bytes);
    madvise(memory + head, bytes, MADV_HUGEPAGE); /* small pages do, too */
    return memory + head;
}

/* Under the lock. */
static bool add_slab(sp_pool *pool) {
    const size_t count = pool->size >= slab_bytes ? 1 : slab_bytes / pool->size;
    const size_t bytes = round_up(count * pool->size, large_page);
    slab *added = calloc(1, sizeof *added);
    slot *slots = calloc(count, sizeof *slots);
    void *memory = map_aligned(bytes);
    if (added == NULL || slots == NULL || memory == NULL) {
        free(added);
        free(slots);
        if (memory != NULL) munmap(memory, bytes);
        return false;
    }
    *added = (slab){.next = pool->slabs, .memory = memory, .bytes = bytes, .slots = slots};
    pool->slabs = added;
    for (size_t i = count; i-- > 0;) {
        slots[i] =
            (slot){.next = pool->free, .pool = pool, .data = (uint8_t *)memory + i * pool->size};
        pool->free = &slots[i];
    }
    return true;
}

static void give_back(void *opaque, uint8_t *data) {
    (void)data;
    slot *returned = opaque;
    sp_pool *pool = returned->pool;
    pthread_mutex_lock(&pool->lock);
    returned->next = pool->free;
    pool->free = returned;
    pthread_mutex_unlock(&pool->lock);
    sp_pool_unref(pool);
}

static slot *take(sp_pool *pool, size_t bytes) {
    const size_t size = round_up(bytes, 4096);
    slot *taken = NULL;
    pthread_mutex_lock(&pool->lock);
    if (pool->size == 0) pool->size = size;
    if (pool->size == size && (pool->free != NULL || add_slab(pool))) {
        taken = pool->free;
        pool->free = taken->next;
        pool->references++;
    }
    pthread_mutex_unlock(&pool->lock);
    return taken;
}

/* Pictures of another size than the first, as after a change in mid-stream, come from elsewhere. */
AVBufferRef *sp_pool_get(sp_pool *pool, size_t bytes) {
    slot *taken = take(pool, bytes);
    if (taken == NULL) return av_buffer_alloc(bytes);
    AVBufferRef *buffer = av_buffer_create(taken->data, bytes, give_back, taken, 0);
    if (buffer == NULL) give_back(taken, NULL);
    return buffer;
}
