/* The page a student opens: one HTML file that holds all of it, reads without script and asks no
 * address for anything. */
#ifndef SERVEPLUMB_PAGE_H
#define SERVEPLUMB_PAGE_H

#include <stdbool.h>

#include "serveplumb/check.h"
#include "serveplumb/clip.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

/* A clip up to this size stands inside the page, a larger one beside it. */
#define SP_PAGE_CLIP_BYTES_MAX ((size_t)8 << 20)

typedef struct {
    sp_clip *clip;
    const sp_review *review;
    const sp_readout *readout;
    const sp_findings *findings; /* of which only what may be sent is shown; NULL: none */
    const char *reel_path;       /* an encoded MP4 to hold or to point at; NULL: none */
} sp_page_part;

typedef struct {
    sp_units units;
    bool with_name;  /* of the student */
    bool with_files; /* of the clips */
    bool no_clip;    /* sp_page_make: leave out the clips in slow motion */
} sp_page_options;

/* Whether the reel at this path would stand inside the page. */
bool sp_page_holds(const char *reel_path);

/* Of one review or several; the first two are also shown beside each other. A reel that is too
 * large is pointed at by its bare name: it must stand in the folder of the page. Written
 * atomically. Never says anything of the entry about the shoulder. */
bool sp_page_write(const sp_page_part *parts, int count, const sp_page_options *options,
                   const char *path, sp_error *error);

#endif
