#include "window/opening.h"

#include <stdatomic.h>
#include <stdlib.h>

#include "base/text.h"
#include "window/state.h"

/* Sooner than that nothing is said: most clips are there by then. */
enum { QUIET_MS = 250, LOOK_MS = 20, SAY_AGAIN_MS = 3000 };

/* In common with the thread; whoever lets go last frees it. */
typedef struct {
    SDL_mutex *lock;
    SDL_cond *over;
    atomic_bool left;
    bool done, good; /* under the lock */
    char path[PATH_MAX];
    sp_preferences preferences;
    session opened;
    sp_error error;
} job;

static void free_job(job *j) {
    session_close(&j->opened);
    if (j->over != NULL) SDL_DestroyCond(j->over);
    if (j->lock != NULL) SDL_DestroyMutex(j->lock);
    free(j);
}

static bool is_left(void *whom) { return atomic_load(&((job *)whom)->left); }

static int run(void *data) {
    job *j = data;
    const session_means means = {&j->preferences, &window_service, is_left, j};
    const bool good = session_open(&j->opened, j->path, &means, &j->error);
    SDL_LockMutex(j->lock);
    j->good = good;
    j->done = true;
    const bool alone = atomic_load(&j->left);
    SDL_CondSignal(j->over);
    SDL_UnlockMutex(j->lock);
    if (alone) free_job(j);
    return 0;
}

/* NULL: no thread can be had. */
static job *start(const window *w, const char *path, int cache_mb) {
    job *j = calloc(1, sizeof *j);
    if (j == NULL) return NULL;
    j->lock = SDL_CreateMutex();
    j->over = SDL_CreateCond();
    j->preferences = w->choices.now;
    j->preferences.cache_mb = cache_mb;
    SDL_Thread *thread = NULL;
    if (j->lock != NULL && j->over != NULL && sp_text_copy(j->path, sizeof j->path, path))
        thread = SDL_CreateThread(run, "open", j);
    if (thread == NULL) {
        free_job(j);
        return NULL;
    }
    SDL_DetachThread(thread);
    return j;
}

static bool wait_a_little(job *j) {
    SDL_LockMutex(j->lock);
    if (!j->done) SDL_CondWaitTimeout(j->over, j->lock, LOOK_MS);
    const bool done = j->done;
    SDL_UnlockMutex(j->lock);
    return done;
}

/* Looks through what has come without taking it; Escape is taken, with the keys before it. */
static bool is_given_up(void) {
    enum { MOST = 64 };
    SDL_Event keys[MOST];
    SDL_PumpEvents();
    if (SDL_HasEvent(SDL_QUIT)) return true;
    const int count = SDL_PeepEvents(keys, MOST, SDL_PEEKEVENT, SDL_KEYDOWN, SDL_KEYDOWN);
    for (int i = 0; i < count; i++) {
        if (keys[i].key.keysym.sym != SDLK_ESCAPE) continue;
        SDL_PeepEvents(keys, i + 1, SDL_GETEVENT, SDL_KEYDOWN, SDL_KEYDOWN);
        return true;
    }
    return false;
}

/* The thread keeps what it has begun, and throws it away when it is done. */
static void leave(job *j) {
    SDL_LockMutex(j->lock);
    const bool done = j->done;
    atomic_store(&j->left, true);
    SDL_UnlockMutex(j->lock);
    if (done) free_job(j);
}

static bool take(job *j, session *s, sp_error *error) {
    const bool good = j->good;
    if (good) {
        session_close(s);
        *s = j->opened;
        j->opened = (session){0};
    } else if (error != NULL) {
        *error = j->error;
    }
    free_job(j);
    return good;
}

static bool open_here(window *w, session *s, const char *path, int cache_mb, sp_error *error) {
    sp_preferences preferences = w->choices.now;
    preferences.cache_mb = cache_mb;
    const session_means means = {&preferences, &window_service, NULL, NULL};
    return session_open(s, path, &means, error);
}

bool opening_wait(window *w, session *s, const char *path, int cache_mb, sp_error *error) {
    job *j = start(w, path, cache_mb);
    if (j == NULL) return open_here(w, s, path, cache_mb, error);
    const uint64_t begun = SDL_GetTicks64();
    uint64_t due = begun + QUIET_MS;
    while (!wait_a_little(j)) {
        if (is_given_up()) {
            leave(j);
            return sp_fail(error, SP_ERROR_CANCELLED, "opening '%.300s' was given up",
                           session_name(path));
        }
        if (SDL_GetTicks64() < due) continue;
        due = SDL_GetTicks64() + SAY_AGAIN_MS;
        message_say(w, "Opening %.300s\u2026 Escape gives it up.", session_name(path));
        window_refresh(w);
    }
    return take(j, s, error);
}
