/* Loaded before the C library: lets the N-th call of one kind fail that the program's own code
 * makes. SP_FAULT=KIND:N, KIND as in the table; SP_FAULT_TOLD=FILE is made when it has failed. */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <link.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct {
    char kind[16];
    long left;
    uintptr_t from, to; /* the program's own code */
} plan;

static int find_code(struct dl_phdr_info *info, size_t size, void *data) {
    (void)size, (void)data;
    for (int i = 0; i < info->dlpi_phnum; i++) {
        const ElfW(Phdr) *part = &info->dlpi_phdr[i];
        if (part->p_type != PT_LOAD || !(part->p_flags & PF_X)) continue;
        plan.from = info->dlpi_addr + part->p_vaddr;
        plan.to = plan.from + part->p_memsz;
    }
    return 1; /* the first is the program */
}

__attribute__((constructor)) static void read_plan(void) {
    const char *words = getenv("SP_FAULT");
    const char *colon = words == NULL ? NULL : strchr(words, ':');
    if (colon == NULL || (size_t)(colon - words) >= sizeof plan.kind) return;
    dl_iterate_phdr(find_code, NULL);
    memcpy(plan.kind, words, (size_t)(colon - words));
    plan.left = atol(colon + 1);
}

static int fails(const char *kind, const void *caller) {
    const uintptr_t at = (uintptr_t)caller;
    if (plan.left == 0 || at < plan.from || at >= plan.to || strcmp(kind, plan.kind) != 0) return 0;
    if (__atomic_sub_fetch(&plan.left, 1, __ATOMIC_SEQ_CST) != 0) return 0;
    const char *told = getenv("SP_FAULT_TOLD");
    if (told != NULL) mkdir(told, 0777);
    return 1;
}

#define NEXT(name) ((__typeof__(&(name)))dlsym(RTLD_NEXT, #name))
#define FAILS(kind, reason) (fails(kind, __builtin_return_address(0)) && (errno = (reason), 1))

/* dlsym may allocate, so that the C library's own entries are called here. */
extern void *__libc_malloc(size_t), *__libc_calloc(size_t, size_t), *__libc_realloc(void *, size_t);

void *malloc(size_t size) { return FAILS("memory", ENOMEM) ? NULL : __libc_malloc(size); }
void *calloc(size_t count, size_t size) {
    return FAILS("memory", ENOMEM) ? NULL : __libc_calloc(count, size);
}
void *realloc(void *old, size_t size) {
    return FAILS("memory", ENOMEM) ? NULL : __libc_realloc(old, size);
}
char *strdup(const char *text) { return FAILS("memory", ENOMEM) ? NULL : NEXT(strdup)(text); }

ssize_t write(int file, const void *bytes, size_t size) {
    return file > 2 && FAILS("write", ENOSPC) ? -1 : NEXT(write)(file, bytes, size);
}
int fsync(int file) { return FAILS("fsync", EIO) ? -1 : NEXT(fsync)(file); }
int rename(const char *from, const char *to) {
    return FAILS("rename", EACCES) ? -1 : NEXT(rename)(from, to);
}
int mkostemp(char *pattern, int flags) {
    return FAILS("create", EROFS) ? -1 : NEXT(mkostemp)(pattern, flags);
}
int open(const char *path, int flags, ...) {
    va_list rest;
    va_start(rest, flags);
    const mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    return FAILS("open", EMFILE) ? -1 : NEXT(open)(path, flags, mode);
}
