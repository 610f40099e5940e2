/* A still: one upright frame at full resolution with the overlay, as a student sees it on a phone.
 */
#ifndef SERVEPLUMB_STILL_H
#define SERVEPLUMB_STILL_H

#include "serveplumb/check.h"
#include "serveplumb/clip.h"
#include "serveplumb/overlay.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

typedef struct {
    int frame;
    const char *moment; /* its name for the caption; NULL: the frame's number alone */
    sp_units units;
    sp_overlay_path path;
    /* Below the picture stands what may be sent of this frame or moment; NULL: nothing. */
    const sp_findings *findings;
} sp_still_options;

/* What stands below the picture, line by line; freed by the caller. All of these:
 * SP_ERROR_ARGUMENT when the clip has no such frame, and the errors of sp_clip_frame. */
char *sp_still_detach_text(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                           const sp_still_options *options, sp_error *error);

/* Into `picture` (initialised here, owned by the caller). */
bool sp_still_draw(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                   const sp_still_options *options, sp_picture *picture, sp_error *error);
/* PNG, or one page of PDF where the path ends in .pdf; written atomically. */
bool sp_still_write(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                    const sp_still_options *options, const char *path, sp_error *error);

#endif
