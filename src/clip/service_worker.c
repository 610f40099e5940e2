/* What the service's own thread does: what is asked first, then what lies ahead, then the rest. */
#include <errno.h>

#include "clip/access.h"
#include "clip/plan.h"
#include "clip/service.h"

/* The hand rests when nothing was asked for this long; shorter than a person notices. */
static const long rest_ns = 120L * 1000 * 1000;

/* What the worker knows when it chooses its next work. */
typedef struct {
    bool quit, reopening, wanted, at_rest;
    int position, direction;
    unsigned moves, urgent;
    sp_frame_service *service;
} view;

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
                       .reopening = s->reopening,
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
    if (frame == NULL && error.code != SP_ERROR_CANCELLED && !sp_clip_is_gone(s->clip)) {
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
    while (!s->quit && !s->reopening && atomic_load(&s->moves) == seen->moves && !s->wanted) {
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

static void reopen(sp_frame_service *s) {
    sp_error error = {0};
    const bool good = sp_clip_reopen(s->clip, &error);
    pthread_mutex_lock(&s->lock);
    s->reopening = false;
    s->reopened = good;
    s->failure = error;
    s->failed = -1;
    pthread_cond_broadcast(&s->had);
    pthread_mutex_unlock(&s->lock);
}

void *sp_service_work(void *context) {
    sp_frame_service *s = context;
    sp_clip_heed(s->clip, &s->left);
    if (s->reduced != NULL) sp_clip_watch(s->clip, (sp_watcher){see, s});
    int position = -1;
    for (view seen = look(s); !seen.quit; seen = look(s)) {
        if (seen.position != position) s->fruitless = -1;
        position = seen.position;
        if (seen.reopening) {
            reopen(s);
        } else if (seen.wanted) {
            serve(s, &seen);
        } else if (sp_clip_is_gone(s->clip) || (!work_ahead(s, &seen) && !work_behind(s, &seen))) {
            wait_for_change(s, &seen);
        }
    }
    return NULL;
}
