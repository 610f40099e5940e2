/* The clip, its review and its readout, kept together: what is edited is on disk at once, and the
 * numbers follow. Knows nothing of pixels on a screen. */
#ifndef SP_WINDOW_SESSION_H
#define SP_WINDOW_SESSION_H

#include <limits.h>
#include <stdbool.h>

#include "serveplumb/check.h"
#include "serveplumb/clip.h"
#include "serveplumb/frame_service.h"
#include "serveplumb/preferences.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"
#include "serveplumb/review_clip.h"

typedef struct {
    sp_clip *clip; /* NULL: nothing is open, and nothing else below is set. Never to be used when
                      `frames` has taken it */
    sp_frame_service *frames; /* decodes ahead of the coach */
    bool unguarded;           /* the clip is not shut in while it is decoded */
    const sp_clip_facts *facts;
    sp_frame_times times;
    sp_review *review;
    sp_readout *readout;     /* may lag behind the review: session_refresh */
    const sp_checks *checks; /* borrowed; NULL: every point of a measure is asked for */
    bool stale;
    char clip_path[PATH_MAX], review_path[PATH_MAX];
    sp_clip_stamp stamp; /* of the clip, as it was opened */
    bool written;        /* the file on disk holds every edit, or there was none */
    bool who;            /* hand and view were looked at by the coach */
    bool speed;          /* so was the slowdown */
    size_t edits;        /* of the review when what is being done began */
    /* Points that are not seen on a frame, by moment in the order of the window; bits of
     * sp_point_name. The review has no place for them: they are asked for again next time. */
    unsigned skipped[8];
    bool moved;       /* the clip was found by its content, not where the review says */
    int cache_mb;     /* 0: the clip's own default */
    char closed[600]; /* why the review must not be edited; "" when it may */
} session;

typedef struct {
    const sp_preferences *preferences;
    const sp_frame_service_options *service; /* may be NULL */
    bool (*gives_up)(void *whom);            /* as in sp_clip_options */
    void *whom;
} session_means;

/* A clip opens its review beside it, else one in its folder that lost it, else a new one that is
 * first written at the first edit; a review opens its clip, also under another name. On failure `s`
 * is untouched; on success what it held is closed. For any thread. */
bool session_open(session *s, const char *path, const session_means *means, sp_error *error);
void session_close(session *s);

/* The review names its clip where it is now. */
bool session_relink(session *s, sp_error *error);

/* Ask before each edit. */
bool session_may_edit(const session *s, sp_error *error);
/* After each edit, undo and redo: writes the review. When that fails the edit stays in memory. */
bool session_store(session *s, sp_error *error);
bool session_refresh(session *s, sp_error *error);

/* Leaves the readout to histories, where the file holds every edit: session_close does, too. */
void session_leave(session *s);

/* The clip looks like slow motion, nothing says so, and the coach was not asked yet. */
bool session_asks_speed(const session *s);

/* Seconds of real time since frame 0. */
double session_time_s(const session *s, int frame);
/* The last frame that has begun at `time_s` of real time. */
int session_frame_at(const session *s, double time_s);
/* "<review>-<word>.png" beside the review. False when the path is too long. */
bool session_still_path(const session *s, const char *word, char *path, size_t size);
/* Name of a file without its folder. */
const char *session_name(const char *path);

#endif
