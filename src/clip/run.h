/* A run of decoding: from one packet on, forward, each picture with the packet that it is of. */
#ifndef SP_CLIP_RUN_H
#define SP_CLIP_RUN_H

#include <stdatomic.h>
#include <stdbool.h>

#include "clip/decoder.h"
#include "clip/index.h"
#include "clip/reader.h"

typedef struct sp_remote sp_remote;

typedef struct {
    sp_remote *remote;       /* decodes in another process, of which this is told; NULL: here */
    const atomic_bool *left; /* once true nobody waits for that process; may be NULL */
    sp_reader *reader;
    sp_index *index;
    sp_pool *pool;
    sp_decoder decoder;
    AVPacket *packet; /* read and not yet sent, when `held` */
    AVFrame *picture; /* the one given last */
    int start;        /* the packet it began with, -1 before the first run */
    int next;         /* the packet to be sent next */
    int last;         /* the highest frame number that came */
    bool held, draining, done;
    bool astray;   /* the file no longer gives the packets of the index */
    bool misled;   /* errors after a start that a recovery point promised to be clean */
    bool troubled; /* errors that cannot be told to be of one packet */
    bool careful;  /* in one thread */
    bool gone;     /* the other process has ended */
    atomic_uint complaints;
    unsigned heard; /* of them */
} sp_run;

/* Borrows reader, index and pool. */
bool sp_run_init(sp_run *run, sp_reader *reader, sp_index *index, int threads, sp_pool *pool,
                 sp_error *error);
void sp_run_clear(sp_run *run);

/* From the next begin on in one thread, where each error is of the packet sent last and what is
 * made up for damaged parts does not depend on the race of threads. */
void sp_run_take_care(sp_run *run);

bool sp_run_begin(sp_run *run, int start);
/* Whether going on gives frame `number`, and sooner than a new run from `start`. */
bool sp_run_reaches(const sp_run *run, int number, int start);
/* Decodes to the next picture on the way to frame n: its serial, the picture in `run->picture`. -1
 * at the end, when astray or gone, and when frame n can no longer come. */
int sp_run_picture(sp_run *run, int n);
/* Whoever stops asking before frame n has come says so. */
void sp_run_give_up(sp_run *run);
/* Of a run in this process: to the next picture, or -1 when packet `limit` has been sent. */
int sp_run_next(sp_run *run, int limit);
/* Whether pictures of `serial` are exact in this run. */
bool sp_run_is_exact(const sp_run *run, int serial);

#endif
