/* The service as the person's thread sees it. */
#include "clip/service.h"

#include <assert.h>
#include <stdlib.h>

#include "clip/access.h"
#include "serveplumb/frame_service.h"

static bool start_worker(sp_frame_service *s) {
    pthread_condattr_t steady;
    if (pthread_condattr_init(&steady) != 0) return false;
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    const bool conditions =
        pthread_cond_init(&s->asked, &steady) == 0 && pthread_cond_init(&s->had, NULL) == 0;
    pthread_condattr_destroy(&steady);
    return conditions && pthread_mutex_init(&s->lock, NULL) == 0 &&
           pthread_create(&s->worker, NULL, sp_service_work, s) == 0;
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

/* Reduced pictures take a quarter of the budget, where it cannot hold the whole clip. False without
 * memory. */
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
    return true;
}

sp_frame_service *sp_frame_service_open(sp_clip *clip, const sp_frame_service_options *options,
                                        sp_error *error) {
    sp_frame_service *s = new_service(options);
    if (s == NULL) {
        sp_clip_close(clip);
        return fail_start(NULL, error);
    }
    s->clip = clip;
    return plan_reduced(s) && start_worker(s) ? s : fail_start(s, error);
}

void sp_frame_service_close(sp_frame_service *s) {
    if (s == NULL) return;
    pthread_mutex_lock(&s->lock);
    s->quit = true;
    atomic_store(&s->left, true);
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

bool sp_frame_service_reopen(sp_frame_service *s, sp_error *error) {
    pthread_mutex_lock(&s->lock);
    s->reopening = true;
    atomic_fetch_add(&s->moves, 1);
    atomic_fetch_add(&s->urgent, 1);
    pthread_cond_signal(&s->asked);
    while (s->reopening) pthread_cond_wait(&s->had, &s->lock);
    const bool good = s->reopened;
    if (!good && error != NULL) *error = s->failure;
    pthread_mutex_unlock(&s->lock);
    return good;
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
    sp_frame_service_state state = {.idle = s->idle && !s->wanted};
    pthread_mutex_unlock(&s->lock);
    size_t bytes = 0;
    sp_cache_measure(sp_clip_cache(s->clip), &state.exact, &state.bytes);
    if (s->reduced != NULL) sp_reduced_measure(s->reduced, &state.reduced, &bytes);
    state.bytes += bytes;
    return state;
}
