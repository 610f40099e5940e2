#include "clip/arena.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

/* A large page of x86 and of ARM with 4 KiB pages. */
static const size_t large_page = (size_t)2 << 20;

/* --- the file --- */

static int open_plain(size_t bytes) {
    const int file = memfd_create("pictures", MFD_CLOEXEC | MFD_ALLOW_SEALING);
    if (file < 0) return -1;
    if (ftruncate(file, (off_t)bytes) == 0 &&
        fcntl(file, F_ADD_SEALS, F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_SEAL) == 0)
        return file;
    close(file);
    return -1;
}

int sp_arena_file(int folder, size_t bytes) {
    const int file = folder >= 0 ? openat(folder, ".", O_TMPFILE | O_RDWR | O_CLOEXEC, 0600) : -1;
    if (file < 0) return open_plain(bytes);
    if (ftruncate(file, (off_t)bytes) == 0) return file;
    close(file);
    return open_plain(bytes);
}

/* --- mapping --- */

static bool is_of_size(int file, size_t bytes) {
    struct stat facts;
    return fstat(file, &facts) == 0 && S_ISREG(facts.st_mode) && (size_t)facts.st_size == bytes &&
           bytes > SP_ARENA_HEAD;
}

bool sp_arena_map(sp_arena *arena, int file, size_t bytes, bool to_write) {
    *arena = (sp_arena){0};
    if (!is_of_size(file, bytes)) return false;
    const size_t asked = bytes + SP_ARENA_TAIL + large_page;
    const int nothing = MAP_PRIVATE | MAP_ANONYMOUS | MAP_NORESERVE;
    uint8_t *space = mmap(NULL, asked, PROT_NONE, nothing, -1, 0);
    if (space == MAP_FAILED) return false;
    const size_t head = (large_page - (uintptr_t)space % large_page) % large_page;
    if (head > 0) munmap(space, head);
    uint8_t *tail = space + head + bytes;
    munmap(tail + SP_ARENA_TAIL, asked - head - bytes - SP_ARENA_TAIL);
    const int rights = to_write ? PROT_READ | PROT_WRITE : PROT_READ;
    uint8_t *memory = mmap(space + head, bytes, rights, MAP_SHARED | MAP_FIXED, file, 0);
    if (memory == MAP_FAILED || mprotect(memory, SP_ARENA_HEAD, PROT_READ | PROT_WRITE) != 0 ||
        mprotect(tail, SP_ARENA_TAIL, PROT_READ) != 0) {
        munmap(space + head, bytes + SP_ARENA_TAIL);
        return false;
    }
    madvise(memory, bytes, MADV_HUGEPAGE); /* small pages do, too */
    *arena = (sp_arena){memory, bytes, (atomic_uint *)(void *)memory};
    return true;
}

void sp_arena_unmap(sp_arena *arena) {
    if (arena->memory != NULL) munmap(arena->memory, arena->bytes + SP_ARENA_TAIL);
    *arena = (sp_arena){0};
}

/* --- the reader's side --- */

struct sp_arena_view {
    sp_arena arena;
    atomic_int references;
};

typedef struct {
    sp_arena_view *view;
    uint32_t slot;
} loan;

sp_arena_view *sp_arena_view_new(int file, size_t bytes) {
    sp_arena_view *view = calloc(1, sizeof *view);
    if (view == NULL) return NULL;
    atomic_init(&view->references, 1);
    if (sp_arena_map(&view->arena, file, bytes, false)) return view;
    free(view);
    return NULL;
}

void sp_arena_view_unref(sp_arena_view *view) {
    if (view == NULL) return;
    if (atomic_fetch_sub_explicit(&view->references, 1, memory_order_acq_rel) > 1) return;
    sp_arena_unmap(&view->arena);
    free(view);
}

static void give_back(void *opaque, uint8_t *data) {
    (void)data;
    loan *ended = opaque;
    atomic_fetch_add_explicit(&ended->view->arena.returned[ended->slot], 1, memory_order_release);
    sp_arena_view_unref(ended->view);
    free(ended);
}

static bool is_inside(const sp_arena *arena, const sp_arena_place *place) {
    return place->slot < SP_ARENA_SLOTS_MAX && place->offset >= SP_ARENA_HEAD &&
           place->offset < arena->bytes && place->bytes > 0 &&
           place->bytes <= arena->bytes - place->offset;
}

AVBufferRef *sp_arena_view_get(sp_arena_view *view, const sp_arena_place *place) {
    loan *made = is_inside(&view->arena, place) ? malloc(sizeof *made) : NULL;
    if (made == NULL) return NULL;
    *made = (loan){view, place->slot};
    atomic_fetch_add_explicit(&view->references, 1, memory_order_relaxed);
    AVBufferRef *buffer = av_buffer_create(view->arena.memory + place->offset, place->bytes,
                                           give_back, made, AV_BUFFER_FLAG_READONLY);
    if (buffer == NULL) give_back(made, NULL);
    return buffer;
}
