#include <assert.h>
#include <errno.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <time.h>

#include "clip/access.h"
#include "clip/guard.h"
#include "clip/kept_index.h"
#include "clip/plan.h"
#include "clip/reduced.h"
#include "serveplumb/frame_service.h"

/* The hand rests when nothing was asked for this long; shorter than a person notices. */
static const long rest_ns = 120L * 1000 * 1000;

struct sp_frame_service {
    sp_clip *clip; /* the worker's, but for what is for any thread */
    /* for the worker to open it; borrowed until `opened` */
    const char *path;
    const sp_clip_options *clip_options;
    sp_guarded guarded;
    sp_frame_service_options options;
    pthread_t worker;
    pthread_mutex_t lock;      /* over what follows up to the atomics */
    pthread_cond_t asked, had; /* for the worker; for who waits */
    bool quit, idle, opened;
    bool wanted; /* the frame at `position` was asked for and has neither come nor failed */
    int position, direction;
    struct timespec moved_at;
    int failed; /* the frame that `failure` is about, -1: none */
    sp_error failure;
    atomic_uint moves;  /* requests of any kind */
    atomic_uint urgent; /* those that what is under way has to give way to */
    atomic_uint arrivals;
    int fruitless;       /* the worker's own */
    bool reducing;       /* the worker's own: nobody waits for what it decodes */
    sp_reduced *reduced; /* NULL: none are made */
};

/* What the worker knows when it chooses its next work. */
typedef struct {
    bool quit, wanted, at_rest;
    int position, direction;
    unsigned moves, urgent;
    sp_frame_service *service;
} view;

/* --- the worker --- */

static bool has_rested(const sp_frame_service *s, struct timespec *until) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    *until = s->moved_at;
    until->tv_nsec += rest_ns;
    if (until->tv_nsec >= 1000000000L) until->tv_sec++, until->tv_nsec -= 1000000000L;
    return now.tv_sec > until->tv_sec ||
           (now.tv_sec == until->tv_sec && now.tv_nsec >= until->tv_nsec);
}

static view look(sp_frame_service *s) {
    struct timespec until;
    pthread_mutex_lock(&s->lock);
    const view seen = {.quit = s->quit,
                       .wanted = s->wanted,
                       .at_rest = has_rested(s, &until),
                       .position = s->position,
                       .direction = s->direction,
                       .moves = atomic_load(&s->moves),
                       .urgent = atomic_load(&s->urgent),
                       .service = s};
    pthread_mutex_unlock(&s->lock);
    return seen;
}

static bool is_urged(void *context) {
    const view *seen = context;
    return atomic_load(&seen->service->urgent) != seen->urgent;
}

static void finish(sp_frame_service *s, const view *seen, const sp_error *failure) {
    pthread_mutex_lock(&s->lock);
    const bool current = s->wanted && s->position == seen->position;
    if (current) {
        s->wanted = false;
        s->failed = failure != NULL ? seen->position : -1;
        if (failure != NULL) s->failure = *failure;
        atomic_fetch_add(&s->arrivals, 1);
        pthread_cond_broadcast(&s->had);
    }
    pthread_mutex_unlock(&s->lock);
    if (current && s->options.arrived != NULL)
        s->options.arrived(s->options.context, seen->position);
}

static void serve(sp_frame_service *s, view *seen) {
    sp_error error = {0};
    s->reducing = false;
    sp_frame *frame =
        sp_clip_frame_unless(s->clip, seen->position, (sp_stop){is_urged, seen}, &error);
    if (frame != NULL || error.code != SP_ERROR_CANCELLED)
        finish(s, seen, frame == NULL ? &error : NULL);
    sp_frame_unref(frame);
    s->fruitless = -1;
}

/* False when there is nothing to be done ahead. */
static bool work_ahead(sp_frame_service *s, view *seen) {
    const int n = sp_plan_next(s->clip, &(sp_plan_view){.position = seen->position,
                                                        .direction = seen->direction,
                                                        .at_rest = seen->at_rest,
                                                        .fruitless = s->fruitless});
    if (n < 0) return false;
    s->reducing = true;
    sp_frame_unref(sp_clip_frame_unless(s->clip, n, (sp_stop){is_urged, seen}, NULL));
    if (!is_urged(seen) && !sp_cache_has(sp_clip_cache(s->clip), n) &&
        !sp_clip_has_lost(s->clip, n))
        s->fruitless = n;
    return true;
}

static bool is_moved(void *context) {
    const view *seen = context;
    return atomic_load(&seen->service->moves) != seen->moves;
}

/* In passing: what nobody waits for is also kept reduced. */
static void see(void *context, sp_frame *frame) {
    sp_frame_service *s = context;
    if (s->reducing && !sp_reduced_has(s->reduced, frame->number))
        sp_reduced_put(s->reduced, frame);
}

/* The first frame of the whole clip that is not there, when all of it can be. */
static int next_of_whole(sp_frame_service *s, int from) {
    sp_cache *cache = sp_clip_cache(s->clip);
    const int frames = sp_clip_get_facts(s->clip)->frames;
    if (s->reduced != NULL || sp_cache_capacity(cache) < frames + frames / 10) return -1;
    for (int i = 0, n = from; i < frames; i++, n = (n + 1) % frames)
        if (!sp_cache_has(cache, n) && !sp_clip_has_lost(s->clip, n) && n != s->fruitless) return n;
    return -1;
}

/* At rest: one more picture of those that a moving hand will want. False when there is none. */
static bool work_behind(sp_frame_service *s, view *seen) {
    if (!seen->at_rest) return false;
    const int n = s->reduced != NULL ? sp_reduced_missing(s->reduced, seen->position)
                                     : next_of_whole(s, seen->position);
    if (n < 0) return false;
    s->reducing = s->reduced != NULL;
    sp_error error = {0};
    sp_clip_set_passing(s->clip, s->reducing);
    sp_frame *frame = sp_clip_frame_unless(s->clip, n, (sp_stop){is_moved, seen}, &error);
    sp_clip_set_passing(s->clip, false);
    if (frame != NULL && s->reducing) see(s, frame); /* it may have been there already */
    if (frame == NULL && error.code != SP_ERROR_CANCELLED) {
        s->fruitless = n;
        if (s->reducing) sp_reduced_skip(s->reduced, n);
    }
    sp_frame_unref(frame);
    return true;
}

/* Until something is asked, or the hand has come to rest. */
static void wait_for_change(sp_frame_service *s, const view *seen) {
    struct timespec until;
    pthread_mutex_lock(&s->lock);
    while (!s->quit && atomic_load(&s->moves) == seen->moves && !s->wanted) {
        if (seen->at_rest) {
            s->idle = true;
            pthread_cond_wait(&s->asked, &s->lock);
            s->idle = false;
        } else if (has_rested(s, &until) ||
                   pthread_cond_timedwait(&s->asked, &s->lock, &until) == ETIMEDOUT) {
            break;
        }
    }
    pthread_mutex_unlock(&s->lock);
}

/* Reduced pictures take a quarter of the budget, where it cannot hold the whole clip. */
static bool plan_reduced(sp_frame_service *s) {
    sp_cache *cache = sp_clip_cache(s->clip);
    const int frames = sp_clip_get_facts(s->clip)->frames;
    if (s->options.no_reduced || sp_cache_capacity(cache) >= frames + frames / 10) return true;
    sp_frame *sample = sp_cache_get(cache, 0);
    if (sample == NULL) return true;
    s->reduced = sp_reduced_new(frames, cache->budget / 4, sample);
    sp_frame_unref(sample);
    if (s->reduced == NULL) return false;
    sp_cache_set_budget(cache, cache->budget - cache->budget / 4);
    sp_clip_watch(s->clip, (sp_watcher){see, s});
    return true;
}

/* In the worker, for which the guard holds from here on. */
static void open_guarded(sp_frame_service *s) {
    char folder[SP_KEPT_INDEX_PATH];
    const bool keeps = sp_kept_index_folder(folder);
    s->guarded = sp_guard_thread(s->path, keeps ? folder : NULL);
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(s->path, s->clip_options, &error);
    s->clip = clip;
    if (clip != NULL && !plan_reduced(s)) s->reduced = NULL;
    pthread_mutex_lock(&s->lock);
    if (clip == NULL) s->failure = error;
    s->opened = true;
    pthread_cond_broadcast(&s->had);
    pthread_mutex_unlock(&s->lock);
}

static void *work(void *context) {
    sp_frame_service *s = context;
    if (s->clip == NULL) open_guarded(s);
    if (s->clip == NULL) return NULL;
    int position = -1;
    for (view seen = look(s); !seen.quit; seen = look(s)) {
        if (seen.position != position) s->fruitless = -1;
        position = seen.position;
        if (seen.wanted) {
            serve(s, &seen);
        } else if (!work_ahead(s, &seen) && !work_behind(s, &seen)) {
            wait_for_change(s, &seen);
        }
    }
    return NULL;
}

/* --- the person's thread --- */

static bool start_worker(sp_frame_service *s) {
    pthread_condattr_t steady;
    if (pthread_condattr_init(&steady) != 0) return false;
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    const bool conditions =
        pthread_cond_init(&s->asked, &steady) == 0 && pthread_cond_init(&s->had, NULL) == 0;
    pthread_condattr_destroy(&steady);
    return conditions && pthread_mutex_init(&s->lock, NULL) == 0 &&
           pthread_create(&s->worker, NULL, work, s) == 0;
}

static sp_frame_service *new_service(const sp_frame_service_options *options) {
    sp_frame_service *s = calloc(1, sizeof *s);
    if (s == NULL) return NULL;
    s->direction = 1;
    s->failed = s->fruitless = -1;
    if (options != NULL) s->options = *options;
    clock_gettime(CLOCK_MONOTONIC, &s->moved_at);
    return s;
}

static sp_frame_service *fail_start(sp_frame_service *s, sp_error *error) {
    if (s != NULL) {
        sp_clip_close(s->clip);
        sp_reduced_free(s->reduced);
    }
    free(s);
    sp_fail(error, SP_ERROR_MEMORY,
            "no thread can be started for the clip; close other programs and try again");
    return NULL;
}

sp_frame_service *sp_frame_service_open(sp_clip *clip, const sp_frame_service_options *options,
                                        sp_error *error) {
    sp_frame_service *s = new_service(options);
    if (s == NULL) {
        sp_clip_close(clip);
        return fail_start(NULL, error);
    }
    s->clip = clip;
    s->opened = true;
    return plan_reduced(s) && start_worker(s) ? s : fail_start(s, error);
}

sp_frame_service *sp_frame_service_open_guarded(const char *path, const sp_clip_options *clip,
                                                const sp_frame_service_options *options,
                                                sp_error *error) {
    sp_frame_service *s = new_service(options);
    if (s == NULL) return fail_start(NULL, error);
    s->path = path;
    s->clip_options = clip;
    if (!start_worker(s)) return fail_start(s, error);
    pthread_mutex_lock(&s->lock);
    while (!s->opened) pthread_cond_wait(&s->had, &s->lock);
    pthread_mutex_unlock(&s->lock);
    if (s->clip != NULL) return s;
    if (error != NULL) *error = s->failure;
    sp_frame_service_close(s);
    return NULL;
}

void sp_frame_service_close(sp_frame_service *s) {
    if (s == NULL) return;
    pthread_mutex_lock(&s->lock);
    s->quit = true;
    atomic_fetch_add(&s->moves, 1);
    atomic_fetch_add(&s->urgent, 1);
    pthread_cond_signal(&s->asked);
    pthread_mutex_unlock(&s->lock);
    pthread_join(s->worker, NULL);
    pthread_cond_destroy(&s->asked);
    pthread_cond_destroy(&s->had);
    pthread_mutex_destroy(&s->lock);
    sp_clip_close(s->clip);
    sp_reduced_free(s->reduced);
    free(s);
}

const sp_clip_facts *sp_frame_service_facts(const sp_frame_service *s) {
    return sp_clip_get_facts(s->clip);
}

const double *sp_frame_service_times(const sp_frame_service *s) { return sp_clip_times(s->clip); }

/* Under the lock. */
static void want(sp_frame_service *s) {
    s->wanted = true;
    s->failed = -1;
    atomic_fetch_add(&s->urgent, 1);
    pthread_cond_signal(&s->asked);
}

void sp_frame_service_request(sp_frame_service *s, int n, double speed) {
    assert(n >= 0 && n < sp_clip_get_facts(s->clip)->frames);
    pthread_mutex_lock(&s->lock);
    const int before = s->direction;
    if (speed != 0 || n != s->position)
        s->direction = (speed != 0 ? speed < 0 : n < s->position) ? -1 : 1;
    const bool repeated = n == s->position && s->wanted;
    s->position = n;
    clock_gettime(CLOCK_MONOTONIC, &s->moved_at);
    sp_cache_move(sp_clip_cache(s->clip), n, s->direction);
    atomic_fetch_add(&s->moves, 1);
    if (!repeated) {
        s->wanted = false;
        /* What was being decoded ahead lies on the wrong side now. */
        if (s->direction != before) atomic_fetch_add(&s->urgent, 1);
        if (!sp_cache_has(sp_clip_cache(s->clip), n)) want(s);
    }
    pthread_cond_signal(&s->asked);
    pthread_mutex_unlock(&s->lock);
}

/* What has failed with frame n; wants it anew when it had come, but errors that were met later have
 * made it doubtful. */
static void ask_after(sp_frame_service *s, int n, sp_error *error) {
    pthread_mutex_lock(&s->lock);
    *error = s->failed == n ? s->failure : (sp_error){0};
    if (n == s->position && s->failed != n && !s->wanted) want(s);
    pthread_mutex_unlock(&s->lock);
}

sp_frame *sp_frame_service_get(sp_frame_service *s, int n, sp_error *error) {
    sp_error failure = {0};
    sp_frame *frame = sp_cache_get(sp_clip_cache(s->clip), n);
    if (frame == NULL) ask_after(s, n, &failure);
    if (error != NULL) *error = failure;
    if (frame != NULL || failure.code != SP_ERROR_NONE || s->reduced == NULL) return frame;
    return sp_reduced_get(s->reduced, n);
}

sp_frame *sp_frame_service_wait(sp_frame_service *s, int n, sp_error *error) {
    if (n >= sp_clip_get_facts(s->clip)->frames) return sp_clip_fail_end(s->clip, error);
    sp_frame_service_request(s, n, 0);
    for (;;) {
        sp_error failure = {0};
        sp_frame *frame = sp_cache_get(sp_clip_cache(s->clip), n);
        if (frame != NULL) return frame;
        ask_after(s, n, &failure);
        if (failure.code != SP_ERROR_NONE) {
            if (error != NULL) *error = failure;
            return NULL;
        }
        pthread_mutex_lock(&s->lock);
        while (s->wanted) pthread_cond_wait(&s->had, &s->lock);
        pthread_mutex_unlock(&s->lock);
    }
}

unsigned sp_frame_service_arrivals(const sp_frame_service *s) { return atomic_load(&s->arrivals); }

void sp_frame_service_map(sp_frame_service *s, uint8_t *map) {
    const int frames = sp_clip_get_facts(s->clip)->frames;
    for (int i = 0; i < frames; i++)
        map[i] = s->reduced != NULL && sp_reduced_has(s->reduced, i) ? SP_FRAME_REDUCED : 0;
    int count;
    sp_frame **list = sp_cache_list(sp_clip_cache(s->clip), &count);
    for (int i = 0; i < count; i++) {
        map[list[i]->number] |= SP_FRAME_EXACT;
        if (sp_frame_damaged(list[i])) map[list[i]->number] |= SP_FRAME_DAMAGED;
        sp_frame_unref(list[i]);
    }
    free(list);
}

sp_frame_service_state sp_frame_service_get_state(sp_frame_service *s) {
    pthread_mutex_lock(&s->lock);
    sp_frame_service_state state = {.idle = s->idle && !s->wanted,
                                    .guarded_files = s->guarded.files,
                                    .guarded_network = s->guarded.network};
    pthread_mutex_unlock(&s->lock);
    size_t bytes = 0;
    sp_cache_measure(sp_clip_cache(s->clip), &state.exact, &state.bytes);
    if (s->reduced != NULL) sp_reduced_measure(s->reduced, &state.reduced, &bytes);
    state.bytes += bytes;
    return state;
}
