#include "cli/batch.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/call.h"
#include "cli/opened.h"

enum { JOBS_MAX = 256 };

typedef struct {
    char *row; /* NULL: it could not be measured */
    sp_error error;
    bool done;
} result;

/* Each takes the next review that nobody has; the first thread prints. */
typedef struct {
    const cli_paths *paths;
    result *results;
    pthread_mutex_t lock; /* of `next` and each `done` */
    pthread_cond_t finished;
    size_t next;
} batch;

static void measure_one(const char *path, result *r) {
    /* The clip is only asked for its times: one thread, little memory. */
    const sp_clip_options options = {.cache_bytes = (size_t)1 << 20, .threads = 1};
    cli_opened opened;
    sp_text text = {0};
    if (!cli_open(path, &options, &opened, &r->error)) return;
    cli_row(&text, path, opened.review, opened.readout);
    cli_close(&opened);
    r->row = sp_text_detach(&text);
    if (r->row == NULL) {
        sp_text_clear(&text);
        sp_fail(&r->error, SP_ERROR_MEMORY, "no memory left for its line; use fewer jobs");
    }
}

static bool take_next(batch *b, size_t *index) {
    pthread_mutex_lock(&b->lock);
    *index = b->next;
    const bool some = b->next < b->paths->count;
    if (some) b->next++;
    pthread_mutex_unlock(&b->lock);
    return some;
}

static void *work(void *whole) {
    batch *b = whole;
    for (size_t i; take_next(b, &i);) {
        measure_one(b->paths->list[i], &b->results[i]);
        pthread_mutex_lock(&b->lock);
        b->results[i].done = true;
        pthread_cond_signal(&b->finished);
        pthread_mutex_unlock(&b->lock);
    }
    return NULL;
}

static void wait_for(batch *b, size_t index) {
    pthread_mutex_lock(&b->lock);
    while (!b->results[index].done) pthread_cond_wait(&b->finished, &b->lock);
    pthread_mutex_unlock(&b->lock);
}

/* Returns how many could not be measured. */
static size_t print_rows(batch *b) {
    size_t broken = 0;
    for (size_t i = 0; i < b->paths->count; i++) {
        wait_for(b, i);
        if (b->results[i].row != NULL)
            fputs(b->results[i].row, stdout);
        else
            broken++;
        free(b->results[i].row);
    }
    return broken;
}

static void tell_broken(const batch *b, size_t broken) {
    fflush(stdout);
    fprintf(stderr, "serveplumb: %zu of %zu reviews could not be measured:\n", broken,
            b->paths->count);
    for (size_t i = 0; i < b->paths->count; i++) {
        const char *path = b->paths->list[i], *message = b->results[i].error.message;
        if (b->results[i].error.code == SP_ERROR_NONE) continue;
        if (strstr(message, path) != NULL)
            fprintf(stderr, "serveplumb: %s\n", message);
        else
            fprintf(stderr, "serveplumb: %s: %s\n", path, message);
    }
}

static int jobs_for(int jobs, size_t count) {
    if (jobs == 0) jobs = (int)sysconf(_SC_NPROCESSORS_ONLN);
    if (jobs < 1) jobs = 1;
    if (jobs > JOBS_MAX) jobs = JOBS_MAX;
    return (size_t)jobs > count ? (int)count : jobs;
}

static int run(batch *b, int jobs) {
    pthread_t threads[JOBS_MAX];
    int started = 0;
    while (started < jobs && pthread_create(&threads[started], NULL, work, b) == 0) started++;
    /* Without a single thread this one does it all. */
    if (started == 0) work(b);
    const size_t broken = print_rows(b);
    for (int i = 0; i < started; i++) pthread_join(threads[i], NULL);
    if (broken > 0) tell_broken(b, broken);
    const int done = cli_done();
    return done != 0 ? done : broken > 0 ? 1 : 0;
}

int cli_batch_measure(const cli_paths *paths, int jobs) {
    batch b = {.paths = paths,
               .results = calloc(paths->count, sizeof *b.results),
               .lock = PTHREAD_MUTEX_INITIALIZER,
               .finished = PTHREAD_COND_INITIALIZER};
    sp_text heads = {0};
    cli_row_heads(&heads);
    if (b.results == NULL || heads.failed) {
        sp_error error = {0};
        sp_fail(&error, SP_ERROR_MEMORY, "no memory left for %zu reviews", paths->count);
        sp_text_clear(&heads);
        free(b.results);
        return cli_fail(&error);
    }
    fputs(sp_text_get(&heads), stdout);
    sp_text_clear(&heads);
    const int status = run(&b, jobs_for(jobs, paths->count));
    free(b.results);
    return status;
}
