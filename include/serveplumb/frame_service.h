/* Frames of a clip without waiting: a thread of its own decodes, and is ahead of the person.
 *
 * Forward it decodes the next frames, backward the group before is there before it is needed; at
 * rest it makes reduced pictures of the whole clip, or takes in the whole clip where that fits, so
 * that any frame can be shown at once while the hand moves. All within the clip's budget of bytes.
 *
 * The service owns the clip and uses it from its own thread only. Its functions are for one thread,
 * the person's, except where they say otherwise; none of them waits for decoding but
 * sp_frame_service_wait and _close. Nobody decodes or sleeps while holding a lock.
 */
#ifndef SERVEPLUMB_FRAME_SERVICE_H
#define SERVEPLUMB_FRAME_SERVICE_H

#include <stdbool.h>

#include "serveplumb/clip.h"
#include "serveplumb/error.h"

typedef struct sp_frame_service sp_frame_service;

typedef struct {
    /* Frame n, asked for and not there then, can now be had or has failed. Called on the service's
     * thread, which holds no lock; NULL: poll sp_frame_service_arrivals. */
    void (*arrived)(void *context, int n);
    void *context;
    bool no_reduced; /* no reduced pictures, the whole budget for exact frames */
} sp_frame_service_options;

/* Takes the clip, also on failure. `options` may be NULL. */
sp_frame_service *sp_frame_service_open(sp_clip *clip, const sp_frame_service_options *options,
                                        sp_error *error);
/* After SP_ERROR_DECODER: as sp_clip_reopen. Waits until the clip is open again. */
bool sp_frame_service_reopen(sp_frame_service *service, sp_error *error);
/* Gives up what is under way and closes the clip. Frames that were given stay good. */
void sp_frame_service_close(sp_frame_service *service);

/* Borrowed until the service is closed; for any thread. */
const sp_clip_facts *sp_frame_service_facts(const sp_frame_service *service);
const double *sp_frame_service_times(const sp_frame_service *service);

/* The person is at frame n (0 to facts.frames - 1), moving at `speed` frames/s of the screen, less
 * than 0 backward; 0: not known, told by the step from the request before. Takes the place of the
 * request before. */
void sp_frame_service_request(sp_frame_service *service, int n, double speed);
/* What there is of frame n by now: the exact frame, else a reduced one, else NULL. Owned. `error`
 * says why the last request for n has failed, or SP_ERROR_NONE: it has not, is under way or was not
 * asked for. A reduced one may be made of its JPEG in the calling thread, in a few milliseconds. */
sp_frame *sp_frame_service_get(sp_frame_service *service, int n, sp_error *error);
/* Requests frame n and waits for the exact frame; as sp_clip_frame. */
sp_frame *sp_frame_service_wait(sp_frame_service *service, int n, sp_error *error);

/* A smaller picture of the frame named, for the moving hand: never for a measure or a still. Show
 * it in the place of the frame: its planes and its size differ, nothing else does. */
bool sp_frame_is_reduced(const sp_frame *frame);

/* How many requested frames have arrived or failed so far; for any thread. */
unsigned sp_frame_service_arrivals(const sp_frame_service *service);

typedef struct {
    bool idle;    /* nothing is left to do until the next request */
    size_t bytes; /* of the frames that are there */
    int exact;    /* how many are exact */
    int reduced;  /* how many reduced pictures there are beside them */
} sp_frame_service_state;
/* What there is of each frame by now, and what is known of it: bits, `facts.frames` bytes. For any
 * thread. */
enum { SP_FRAME_EXACT = 1, SP_FRAME_REDUCED = 2, SP_FRAME_DAMAGED = 4 };
void sp_frame_service_map(sp_frame_service *service, uint8_t *frames);
/* For any thread. */
sp_frame_service_state sp_frame_service_get_state(sp_frame_service *service);

#endif
