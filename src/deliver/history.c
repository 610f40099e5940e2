/* A folder of reviews, read out by as many threads as there are processors. */
#include "serveplumb/history.h"

#include <assert.h>
#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/file.h"
#include "base/text.h"
#include "deliver/kept.h"
#include "deliver/kept_readout.h"
#include "serveplumb/review_clip.h"

#define ENDING ".review.json"
#define WORKERS_MAX 64

typedef struct {
    char *path;
    char day[11];
    sp_history_serve serve;
    sp_error fault;
    bool made;    /* not kept: it was read out now */
    bool waiting; /* not kept, and there was no time to read it out */
} item;

struct sp_history {
    item *items;
    size_t item_count;
    const item **serves, **faults; /* of the items */
    size_t serve_count, fault_count, waiting_count;
};

/* --- the folder ------------------------------------------------------------------------------ */
static bool is_review(const char *name) {
    const size_t length = strlen(name), ending = strlen(ENDING);
    return name[0] != '.' && length > ending && strcmp(name + length - ending, ENDING) == 0;
}

static char *join(const char *folder, const char *name) {
    const size_t length = strlen(folder);
    sp_text path = {0};
    sp_text_format(&path, "%s%s%s", folder, length > 0 && folder[length - 1] == '/' ? "" : "/",
                   name);
    return sp_text_detach(&path);
}

static bool add(sp_history *history, size_t *room, char *path) {
    if (path == NULL) return false;
    if (history->item_count == *room) {
        *room = *room * 2 + 16;
        item *items = realloc(history->items, *room * sizeof *items);
        if (items == NULL) {
            free(path);
            return false;
        }
        history->items = items;
    }
    history->items[history->item_count++] = (item){.path = path};
    return true;
}

static int by_path(const void *one, const void *other) {
    return strcmp(((const item *)one)->path, ((const item *)other)->path);
}

static bool list(sp_history *history, const char *path, sp_error *error) {
    DIR *folder = opendir(path);
    if (folder == NULL)
        return sp_fail(error, SP_ERROR_FILE, "cannot look into the folder '%.300s': %s", path,
                       strerror(errno));
    size_t room = 0;
    bool good = true;
    for (struct dirent *entry = readdir(folder); good && entry != NULL; entry = readdir(folder))
        if (is_review(entry->d_name)) good = add(history, &room, join(path, entry->d_name));
    closedir(folder);
    if (!good) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the list of reviews");
    if (history->item_count > 0)
        qsort(history->items, history->item_count, sizeof *history->items, by_path);
    return true;
}

/* --- one review ------------------------------------------------------------------------------ */
/* The clip is only asked for its times: one thread, little memory. */
static sp_readout *read_out(item *it, sp_error *error) {
    const sp_clip_options options = {.cache_bytes = (size_t)1 << 20, .threads = 1};
    sp_clip *clip = sp_review_open_clip(it->serve.review, it->path, &options, error);
    if (clip == NULL) return NULL;
    it->made = true;
    sp_readout *readout = sp_readout_new(it->serve.review, sp_clip_frame_times(clip), NULL, error);
    sp_clip_close(clip);
    return readout;
}

static void find_day(item *it) {
    struct stat facts;
    it->serve.day = it->day;
    sp_text_copy(it->day, sizeof it->day, sp_review_get_reviewed(it->serve.review));
    if (it->day[0] != '\0') return;
    it->serve.day_guessed = true;
    if (stat(it->path, &facts) == 0) sp_day_of_time(facts.st_mtim.tv_sec, it->day);
}

static void find_readout(item *it, const char *bytes, size_t length, bool only_kept) {
    char clip[PATH_MAX];
    sp_text key = {0};
    bool keeps = false;
    if (sp_review_clip_path(it->serve.review, it->path, clip, sizeof clip)) {
        const sp_clip_stamp stamp = sp_clip_stamp_of(clip);
        keeps = sp_kept_readout_key(&key, bytes, length, &stamp);
    }
    if (keeps) it->serve.readout = sp_kept_readout_take(&key);
    it->waiting = it->serve.readout == NULL && only_kept;
    if (it->serve.readout == NULL && !only_kept) {
        it->serve.readout = read_out(it, &it->fault);
        if (keeps && it->serve.readout != NULL) sp_kept_readout_put(&key, it->serve.readout);
    }
    sp_text_clear(&key);
}

typedef struct {
    sp_history *history;
    sp_history_options options;
    double until_s; /* by the clock; 0: no end */
    atomic_size_t next, done;
    atomic_bool given_up;
    pthread_mutex_t telling;
} crew;

static double now_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void read_bytes(const crew *c, item *it, const char *bytes, size_t length) {
    it->serve.review = sp_review_parse(bytes, length, it->path, &it->fault);
    if (it->serve.review == NULL) return;
    it->serve.path = it->path;
    find_day(it);
    if (it->day[0] == '\0')
        sp_fail(&it->fault, SP_ERROR_FORMAT, "'%.300s' has no day ('reviewed')", it->path);
    else if (c->options.keep_none)
        it->serve.readout = read_out(it, &it->fault);
    else
        find_readout(it, bytes, length, c->until_s > 0 && now_s() >= c->until_s);
}

/* What is kept is known by the very bytes that were read. */
static void read_one(const crew *c, item *it) {
    char *bytes;
    size_t length;
    if (!sp_file_read(it->path, SP_REVIEW_BYTES_MAX, &bytes, &length, &it->fault)) return;
    read_bytes(c, it, bytes, length);
    free(bytes);
}

/* --- all of them ----------------------------------------------------------------------------- */
static void *work(void *of) {
    crew *c = of;
    sp_history *history = c->history;
    for (size_t i = atomic_fetch_add(&c->next, 1); i < history->item_count && !c->given_up;
         i = atomic_fetch_add(&c->next, 1)) {
        read_one(c, &history->items[i]);
        if (history->items[i].waiting) continue;
        const size_t done = atomic_fetch_add(&c->done, 1) + 1;
        if (c->options.tell == NULL) continue;
        pthread_mutex_lock(&c->telling);
        if (!c->options.tell(c->options.whom, (double)done / (double)history->item_count))
            c->given_up = true;
        pthread_mutex_unlock(&c->telling);
    }
    return NULL;
}

static size_t worker_count(const crew *c) {
    const long processors = sysconf(_SC_NPROCESSORS_ONLN);
    size_t count = (size_t)(c->options.workers > 0 ? c->options.workers
                            : processors > 0       ? processors
                                                   : 1);
    if (count > c->history->item_count) count = c->history->item_count;
    return count > WORKERS_MAX ? WORKERS_MAX : count;
}

/* A thread that cannot be had is no loss: this one does the work. */
static bool read_all(sp_history *history, const sp_history_options *options, sp_error *error) {
    crew c = {.history = history};
    if (options != NULL) c.options = *options;
    if (c.options.new_for_s > 0) c.until_s = now_s() + c.options.new_for_s;
    pthread_t threads[WORKERS_MAX];
    size_t started = 0;
    pthread_mutex_init(&c.telling, NULL);
    for (size_t i = 1; i < worker_count(&c); i++)
        if (pthread_create(&threads[started], NULL, work, &c) == 0) started++;
    work(&c);
    for (size_t i = 0; i < started; i++) pthread_join(threads[i], NULL);
    pthread_mutex_destroy(&c.telling);
    return !c.given_up || sp_fail(error, SP_ERROR_CANCELLED, "given up");
}

static int by_day(const void *one, const void *other) {
    const item *const *a = one, *const *b = other;
    const int days = strcmp((*a)->serve.day, (*b)->serve.day);
    return days != 0 ? days : strcmp((*a)->path, (*b)->path);
}

static bool sort(sp_history *history, sp_error *error) {
    history->serves = calloc(history->item_count + 1, sizeof(void *));
    history->faults = calloc(history->item_count + 1, sizeof(void *));
    if (history->serves == NULL || history->faults == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory for the history");
    bool made = false;
    for (size_t i = 0; i < history->item_count; i++) {
        const item *it = &history->items[i];
        made = made || it->made;
        if (it->waiting)
            history->waiting_count++;
        else if (it->serve.readout != NULL)
            history->serves[history->serve_count++] = it;
        else
            history->faults[history->fault_count++] = it;
    }
    if (history->serve_count > 0)
        qsort(history->serves, history->serve_count, sizeof(void *), by_day);
    if (made) sp_kept_prune();
    return true;
}

sp_history *sp_history_read(const char *folder, const sp_history_options *options,
                            sp_error *error) {
    sp_history *history = calloc(1, sizeof *history);
    if (history == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory for the history");
        return NULL;
    }
    if (list(history, folder, error) && read_all(history, options, error) && sort(history, error))
        return history;
    sp_history_free(history);
    return NULL;
}

void sp_history_free(sp_history *history) {
    if (history == NULL) return;
    for (size_t i = 0; i < history->item_count; i++) {
        sp_readout_free(history->items[i].serve.readout);
        sp_review_free(history->items[i].serve.review);
        free(history->items[i].path);
    }
    free(history->items);
    free(history->serves);
    free(history->faults);
    free(history);
}

size_t sp_history_count(const sp_history *history) { return history->serve_count; }

const sp_history_serve *sp_history_at(const sp_history *history, size_t index) {
    assert(index < history->serve_count);
    return &history->serves[index]->serve;
}

size_t sp_history_waiting(const sp_history *history) { return history->waiting_count; }

size_t sp_history_fault_count(const sp_history *history) { return history->fault_count; }

const char *sp_history_fault_at(const sp_history *history, size_t index) {
    assert(index < history->fault_count);
    return history->faults[index]->fault.message;
}
