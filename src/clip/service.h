/* The frame service from inside: what the person's thread and the worker have in common. */
#ifndef SP_CLIP_SERVICE_H
#define SP_CLIP_SERVICE_H

#include <pthread.h>
#include <stdatomic.h>
#include <time.h>

#include "clip/reduced.h"
#include "serveplumb/frame_service.h"

struct sp_frame_service {
    sp_clip *clip; /* the worker's, but for what is for any thread */
    sp_frame_service_options options;
    pthread_t worker;
    pthread_mutex_t lock;      /* over what follows up to the atomics */
    pthread_cond_t asked, had; /* for the worker; for who waits */
    bool quit, idle;
    bool reopening, reopened; /* asked for; how it went, with `failure` */
    bool wanted; /* the frame at `position` was asked for and has neither come nor failed */
    int position, direction;
    struct timespec moved_at;
    int failed; /* the frame that `failure` is about, -1: none */
    sp_error failure;
    atomic_bool left;   /* as `quit`, for whoever waits for the clip's process */
    atomic_uint moves;  /* requests of any kind */
    atomic_uint urgent; /* those that what is under way has to give way to */
    atomic_uint arrivals;
    int fruitless;       /* the worker's own */
    bool reducing;       /* the worker's own: nobody waits for what it decodes */
    sp_reduced *reduced; /* NULL: none are made */
};

/* The worker, for pthread_create; `context`: the service. */
void *sp_service_work(void *context);

#endif
