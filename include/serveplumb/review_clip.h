/* A review together with the clip it speaks of, verified to belong together. Both doors use it. */
#ifndef SERVEPLUMB_REVIEW_CLIP_H
#define SERVEPLUMB_REVIEW_CLIP_H

#include <stddef.h>
#include <time.h>

#include "serveplumb/clip.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

/* Opens the clip that `review` (read from review_path) names, beside the review or by the path in
 * it. SP_ERROR_FILE when it is not there, SP_ERROR_MISMATCH when it is another clip (SHA-256,
 * number of frames or size differ): a wrong clip would make every number wrong. `options` may be
 * NULL. */
sp_clip *sp_review_open_clip(const sp_review *review, const char *review_path,
                             const sp_clip_options *options, sp_error *error);

/* Where that clip is looked for. False when the path does not fit. */
bool sp_review_clip_path(const sp_review *review, const char *review_path, char *path, size_t size);

/* How a clip's file is: to tell later whether it is still the one that was opened. All 0 where
 * there is none. */
typedef struct {
    long long size, changed_s;
    long changed_ns;
} sp_clip_stamp;
sp_clip_stamp sp_clip_stamp_of(const char *clip_path);

/* What a new review says of its clip: name relative to the review's folder, hash, frames, size.
 * SP_ERROR_LIMIT when a path is too long, SP_ERROR_FILE when the clip cannot be read. */
bool sp_review_clip_describe(const sp_clip *clip, const char *clip_path, const char *review_path,
                             sp_review_clip *described, sp_error *error);

/* "reviewed": this day, by the person's own clock. */
bool sp_review_set_today(sp_review *review, sp_error *error);
/* A day by that clock: "2027-03-14"; "" when it cannot be told. */
void sp_day_of_time(time_t when, char day[11]);

/* The frame times of a clip, as the readout and the strip take them; borrowed from the clip. */
sp_frame_times sp_clip_frame_times(const sp_clip *clip);

/* "folder/serve.mp4" -> "folder/serve.review.json". False when it does not fit. */
bool sp_review_path_beside(const char *clip_path, char *path, size_t size);

#endif
