/* One piece of long work, as its thread and the window share it. */
#ifndef SP_WINDOW_SENDING_WORK_H
#define SP_WINDOW_SENDING_WORK_H

#include <limits.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include <SDL.h>

#include "serveplumb/readout.h"
#include "window/sending.h"

struct sending_work {
    SDL_Thread *thread;
    sending_kind kind;
    sp_units units;
    char review[PATH_MAX], other[PATH_MAX];
    char moment[SP_REVIEW_ID_MAX]; /* that both are locked at; "": not said */
    uint64_t since_ms;
    int shown; /* permille that the sheet shows */
    atomic_bool cancelled, done;
    atomic_int permille;
    /* once it is done */
    bool good;
    sp_error error;
    char out[PATH_MAX], also[400];
};

/* "the clip" */
const char *sending_what(sending_kind kind);

#endif
