/* What a coach prefers, and the clips that were open last: one small JSON file each, in the folders
 * that the XDG Base Directory Specification names. A file is written atomically; members of it that
 * are not known are kept. */
#ifndef SERVEPLUMB_PREFERENCES_H
#define SERVEPLUMB_PREFERENCES_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/review.h"

typedef struct {
    bool imperial;        /* feet and inches, miles an hour */
    bool light;           /* the theme for daylight */
    double text_factor;   /* 0.85..2; 1: as the display has it */
    sp_hand hand;         /* of a new review */
    sp_view view;         /* of a new review */
    double points_sd_px;  /* of a new review: deviation of this coach's taps; 0.1..50 */
    int cache_mb;         /* for frames; 64..65536, 0: the clip's own default */
    bool guided;          /* the first walk through the window was seen or left */
    char microphone[256]; /* of talk-throughs, by its name; "": the system's choice */
    bool voiceless;       /* talk-throughs are recorded without one */
} sp_preferences;

sp_preferences sp_preferences_default(void);
/* A file that is not there: the defaults, and true. A member that makes no sense fails with its
 * name; `preferences` then holds the defaults. */
bool sp_preferences_read(const char *path, sp_preferences *preferences, sp_error *error);
/* Makes the folders above it where they are missing. Fails, and writes nothing, where the file that
 * is there cannot be read. */
bool sp_preferences_write(const char *path, const sp_preferences *preferences, sp_error *error);

typedef struct {
    char path[4096]; /* of the clip, absolute */
    char sha256[65];
    bool real_time; /* the coach said of a fast clip that it is not slow motion */
} sp_recent_clip;
#define SP_RECENT_MAX 24
typedef struct {
    sp_recent_clip at[SP_RECENT_MAX]; /* the newest first */
    int count;
} sp_recent;

/* A file that is not there or makes no sense gives none: it is no loss. */
void sp_recent_read(const char *path, sp_recent *recent);
bool sp_recent_write(const char *path, const sp_recent *recent, sp_error *error);
/* To the front; the same clip, by its content, is there once. */
void sp_recent_put(sp_recent *recent, const sp_recent_clip *clip);
/* NULL: not among them. */
const sp_recent_clip *sp_recent_find(const sp_recent *recent, const char *sha256);

/* "$XDG_CONFIG_HOME/serveplumb/<name>", else "~/.config/..."; state and cache likewise. False when
 * there is no home or the path does not fit. */
typedef enum { SP_XDG_CONFIG, SP_XDG_STATE, SP_XDG_CACHE } sp_xdg;
bool sp_xdg_path(sp_xdg which, const char *name, char *path, size_t size);
/* Makes the folders above `path`, for this person only. */
bool sp_xdg_make_room(const char *path, sp_error *error);

#endif
