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
#include "serveplumb/review_clip.h"

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
    /* For so long readouts that were not kept are begun; reviews whose turn comes later are left
     * out and counted as waiting. 0: for as long as it takes. */
    double new_for_s;
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

/* Leaves a readout where a later history finds it, so that one of reviews that were measured before
 * opens at once. `opened`: the review's clip as it was opened and verified. Nothing is left where
 * the review's file says something else than `review`, or the clip's is another by now; nothing is
 * lost when it cannot be. Any thread. */
void sp_history_leave(const sp_review *review, const char *review_path, const sp_clip_stamp *opened,
                      const sp_readout *readout);

size_t sp_history_count(const sp_history *history); /* by day, then by path */
const sp_history_serve *sp_history_at(const sp_history *history, size_t index);
size_t sp_history_waiting(const sp_history *history); /* not read out yet, see new_for_s */
size_t sp_history_fault_count(const sp_history *history);
const char *sp_history_fault_at(const sp_history *history, size_t index); /* one line each */

#endif
