/* Runs a fuzz target on the files named, and on those in the folders named: for compilers without
 * a fuzzer, and for what a fuzzer found. With failing.c linked in, `--failing` runs each file again
 * and again, with the first allocation failing, then the second, and so on. */
#include <dirent.h>
#include <limits.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* In failing.c: lets allocation number `n` fail (0: none); whether it has come to that. */
void failing_start(unsigned long n) __attribute__((weak));
bool failing_stop(void) __attribute__((weak));

static bool with_failing, with_names;
static unsigned long inputs, failures;

static void run(const char *bytes, size_t length) {
    LLVMFuzzerTestOneInput((const uint8_t *)bytes, length);
    inputs++;
    for (unsigned long n = 1; with_failing; n++, failures++) {
        failing_start(n);
        LLVMFuzzerTestOneInput((const uint8_t *)bytes, length);
        if (!failing_stop()) return;
    }
}

static bool run_file(const char *path) {
    char *bytes;
    size_t length;
    sp_error error = {0};
    if (with_names) {
        printf("%s\n", path);
        fflush(stdout);
    }
    if (!sp_file_read(path, (size_t)1 << 26, &bytes, &length, &error)) {
        fprintf(stderr, "replay: %s\n", error.message);
        return false;
    }
    run(bytes, length);
    free(bytes);
    return true;
}

static bool run_path(const char *path) {
    DIR *folder = opendir(path);
    if (folder == NULL) return run_file(path);
    bool good = true;
    for (const struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        char name[PATH_MAX];
        snprintf(name, sizeof name, "%s/%s", path, entry->d_name);
        if (entry->d_name[0] != '.') good = run_path(name) && good;
    }
    closedir(folder);
    return good;
}

int main(int count, char **arguments) {
    bool good = count > 1;
    for (int i = 1; i < count; i++) {
        if (strcmp(arguments[i], "--failing") == 0 && failing_start != NULL) {
            with_failing = true;
        } else if (strcmp(arguments[i], "--each") == 0) {
            with_names = true;
        } else {
            good = run_path(arguments[i]) && good;
        }
    }
    if (count < 2) fprintf(stderr, "replay: name files or folders to run\n");
    printf("%lu inputs, %lu failed allocations\n", inputs, failures);
    return good && inputs > 0 ? 0 : 1;
}
