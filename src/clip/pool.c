#include "clip/pool.h"

#include <pthread.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>

/* A large page of x86 and of ARM with 4 KiB pages. */
static const size_t large_page = (size_t)2 << 20;
/* Memory is asked for in this much, rounded up for larger pictures. */
static const size_t slab_bytes = (size_t)16 << 20;
typedef struct slot slot;
struct slot {
    slot *next; /* of those that are free, or away */
    sp_pool *pool;
    uint8_t *data;
    size_t size;
    uint32_t id;
    unsigned lent; /* how often, to the other side of the arena */
};

typedef struct slab slab;
struct slab {
    slab *next;
    void *memory;
    size_t bytes;
    slot *slots;
};

struct sp_pool {
    sp_arena *arena;      /* NULL: memory of its own */
    pthread_mutex_t lock; /* over what follows */
    int references;       /* the owner's, and one for each buffer that is out */
    size_t size;          /* of most slots: that of the first */
    slot *free;
    slot *away; /* nobody uses them here, but perhaps on the other side */
    slab *slabs;
    uint32_t slots;
    size_t used; /* of the arena */
};

sp_pool *sp_pool_new(sp_arena *arena) {
    sp_pool *pool = calloc(1, sizeof *pool);
    if (pool == NULL) return NULL;
    if (pthread_mutex_init(&pool->lock, NULL) != 0) {
        free(pool);
        return NULL;
    }
    pool->arena = arena;
    pool->used = SP_ARENA_HEAD;
    pool->references = 1;
    return pool;
}

static void destroy(sp_pool *pool) {
    while (pool->slabs != NULL) {
        slab *first = pool->slabs;
        pool->slabs = first->next;
        if (pool->arena == NULL) munmap(first->memory, first->bytes);
        free(first->slots);
        free(first);
    }
    pthread_mutex_destroy(&pool->lock);
    free(pool);
}

sp_pool *sp_pool_ref(sp_pool *pool) {
    pthread_mutex_lock(&pool->lock);
    pool->references++;
    pthread_mutex_unlock(&pool->lock);
    return pool;
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

/* --- under the lock --- */

static void *cut_from_arena(sp_pool *pool, size_t bytes, size_t count) {
    if (bytes > pool->arena->bytes - pool->used || pool->slots + count > SP_ARENA_SLOTS_MAX)
        return NULL;
    void *memory = pool->arena->memory + pool->used;
    pool->used += bytes;
    return memory;
}

static bool add_slab(sp_pool *pool, size_t size) {
    const bool usual = size == pool->size && size < slab_bytes;
    const size_t count = usual ? slab_bytes / size : 1;
    const size_t bytes = round_up(count * size, large_page);
    slab *added = calloc(1, sizeof *added);
    slot *slots = calloc(count, sizeof *slots);
    void *memory = NULL;
    if (added != NULL && slots != NULL)
        memory = pool->arena == NULL ? map_aligned(bytes) : cut_from_arena(pool, bytes, count);
    if (memory == NULL) {
        free(added);
        free(slots);
        return false;
    }
    *added = (slab){.next = pool->slabs, .memory = memory, .bytes = bytes, .slots = slots};
    pool->slabs = added;
    for (size_t i = count; i-- > 0;) {
        slots[i] = (slot){.next = pool->free,
                          .pool = pool,
                          .data = (uint8_t *)memory + i * size,
                          .size = size,
                          .id = pool->slots + (uint32_t)i};
        pool->free = &slots[i];
    }
    pool->slots += (uint32_t)count;
    return true;
}

static bool has_returned(const sp_pool *pool, const slot *one) {
    return pool->arena == NULL ||
           one->lent == atomic_load_explicit(&pool->arena->returned[one->id], memory_order_acquire);
}

static void put(sp_pool *pool, slot *one) {
    slot **list = has_returned(pool, one) ? &pool->free : &pool->away;
    one->next = *list;
    *list = one;
}

static void collect(sp_pool *pool) {
    slot *away = pool->away;
    pool->away = NULL;
    while (away != NULL) {
        slot *next = away->next;
        put(pool, away);
        away = next;
    }
}

static slot *find(sp_pool *pool, size_t size) {
    for (slot **at = &pool->free; *at != NULL; at = &(*at)->next) {
        slot *found = *at;
        if (found->size != size) continue;
        *at = found->next;
        return found;
    }
    return NULL;
}

static slot *find_or_add(sp_pool *pool, size_t size) {
    slot *found = find(pool, size);
    if (found == NULL && pool->away != NULL) {
        collect(pool);
        found = find(pool, size);
    }
    if (found == NULL && add_slab(pool, size)) found = find(pool, size);
    return found;
}

/* --- */

static void give_back(void *opaque, uint8_t *data) {
    (void)data;
    slot *returned = opaque;
    sp_pool *pool = returned->pool;
    pthread_mutex_lock(&pool->lock);
    put(pool, returned);
    pthread_mutex_unlock(&pool->lock);
    sp_pool_unref(pool);
}

/* Pictures of another size than the first, as after a change in mid-stream, come from elsewhere
 * where they can. */
static slot *take(sp_pool *pool, size_t bytes) {
    const size_t size = round_up(bytes, 4096);
    slot *taken = NULL;
    pthread_mutex_lock(&pool->lock);
    if (pool->size == 0) pool->size = size;
    if (pool->size == size || pool->arena != NULL) taken = find_or_add(pool, size);
    if (taken != NULL) pool->references++;
    pthread_mutex_unlock(&pool->lock);
    return taken;
}

AVBufferRef *sp_pool_get(sp_pool *pool, size_t bytes) {
    slot *taken = take(pool, bytes);
    if (taken == NULL) return pool->arena == NULL ? av_buffer_alloc(bytes) : NULL;
    AVBufferRef *buffer = av_buffer_create(taken->data, bytes, give_back, taken, 0);
    if (buffer == NULL) give_back(taken, NULL);
    return buffer;
}

static bool is_in_arena(const sp_pool *pool, const uint8_t *data) {
    const uintptr_t at = (uintptr_t)data, start = (uintptr_t)pool->arena->memory;
    return at >= start && at < start + pool->arena->bytes;
}

bool sp_pool_lend(sp_pool *pool, const AVBufferRef *buffer, sp_arena_place *place) {
    if (pool->arena == NULL || buffer == NULL || !is_in_arena(pool, buffer->data)) return false;
    slot *lent = av_buffer_get_opaque(buffer);
    pthread_mutex_lock(&pool->lock);
    lent->lent++;
    pthread_mutex_unlock(&pool->lock);
    *place = (sp_arena_place){lent->id, (uint64_t)(lent->data - pool->arena->memory), lent->size};
    return true;
}
