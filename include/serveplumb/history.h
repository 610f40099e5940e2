/* A student's history: the reviews of a folder with their readouts, sorted by day.
 *
 * Readouts are kept in the user's cache folder, so that a long history opens at once: a kept one
 * counts only for the same review file, the same clip file and the same program. */
#ifndef SERVEPLUMB_HISTORY_H
#define SERVEPLUMB_HISTORY_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

typedef struct {
    const char *path; /* of the review; as long as the history lives */
    const char *day;  /* "2027-03-14", when it was reviewed */
    bool day_guessed; /* the review says none: the day of its file's last change */
    sp_review *review;
    sp_readout *readout;
} sp_history_serve;

typedef struct {
    int workers;    /* 0: as many as there are processors */
    bool keep_none; /* neither read nor write kept readouts */
    /* Called from one thread at a time with the share that is done; false gives up. NULL: none. */
    bool (*tell)(void *whom, double share);
    void *whom;
} sp_history_options;

typedef struct sp_history sp_history;

/* Every "*.review.json" of the folder, not of those within. What cannot be read or has lost its
 * clip is left out and named as a fault. NULL: the folder cannot be read (SP_ERROR_FILE),
 * the person gave up (SP_ERROR_CANCELLED), no memory. `options` may be NULL. */
sp_history *sp_history_read(const char *folder, const sp_history_options *options, sp_error *error);
void sp_history_free(sp_history *history);

size_t sp_history_count(const sp_history *history); /* by day, then by path */
const sp_history_serve *sp_history_at(const sp_history *history, size_t index);
size_t sp_history_fault_count(const sp_history *history);
const char *sp_history_fault_at(const sp_history *history, size_t index); /* one line each */

#endif
