/* Allocations that fail on demand. Link with -Wl,--wrap=malloc,--wrap=calloc,--wrap=realloc,
 * --wrap=strdup; cJSON, a shared library, is sent here by its hooks. */
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cjson/cJSON.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *memory, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *memory, size_t size);
char *__wrap_strdup(const char *string);
void failing_start(unsigned long n);
bool failing_stop(void);
bool failing_has_failed(void);

static unsigned long left;
static bool failed;

static bool fails(void) {
    if (left == 0 || --left > 0) return false;
    failed = true;
    return true;
}

bool failing_has_failed(void) { return failed; }

void *__wrap_malloc(size_t size) { return fails() ? NULL : __real_malloc(size); }

void *__wrap_calloc(size_t count, size_t size) {
    return fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *memory, size_t size) {
    return fails() ? NULL : __real_realloc(memory, size);
}

char *__wrap_strdup(const char *string) {
    const size_t size = strlen(string) + 1;
    char *copy = __wrap_malloc(size);
    return copy == NULL ? NULL : memcpy(copy, string, size);
}

void failing_start(unsigned long n) {
    cJSON_Hooks hooks = {.malloc_fn = __wrap_malloc, .free_fn = free};
    cJSON_InitHooks(&hooks);
    left = n;
    failed = false;
}

/* False when fewer allocations than that were asked for: nothing has failed. */
bool failing_stop(void) {
    const bool has_failed = failed;
    left = 0;
    failed = false;
    return has_failed;
}
