/* The overlay clip: a span of the serve, slowed, held at its moments, with the overlay and a band
 * of words below; what a student plays on a phone. */
#ifndef SERVEPLUMB_REEL_H
#define SERVEPLUMB_REEL_H

#include "serveplumb/clip.h"
#include "serveplumb/encoder.h"
#include "serveplumb/overlay.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

#define SP_REEL_SLOW 8.0
#define SP_REEL_HOLD_S 2.0

typedef struct {
    int first, last; /* frames, both shown */
    double slow;     /* times slower than the serve was; 0: SP_REEL_SLOW */
    double hold_s;   /* stand still on each named moment; 0: SP_REEL_HOLD_S, below 0: not at all */
    sp_units units;
    sp_overlay_path path;
    sp_coding coding;
    const char *clip_path; /* for its sound, which is kept only where the reel runs as the clip
                              does; NULL: none */
} sp_reel_options;

typedef struct {
    int width, height, frame_height; /* the frame lies above the band */
    int pictures;                    /* that are encoded; a frame held for long is several */
    double duration_s;
    bool sound;
} sp_reel_facts;

/* Frames are wanted once, in order: a small cache of the clip hands their memory on. */
#define SP_REEL_CACHE_BYTES ((size_t)24 << 20)

/* What a clip of a serve shows when nothing is said: from just before the first moment to just
 * after the last, or the whole clip; slow and held as usual. Sets these members only. */
void sp_reel_usual(const sp_clip *clip, const sp_review *review, sp_reel_options *options);

typedef struct sp_reel sp_reel;

/* The plan; nothing is written yet. Clip, review and readout must outlive it. A frame that would
 * stand for less than 1/60 s gives its time to the one before, unless it is a moment.
 * SP_ERROR_ARGUMENT when the span is not in the clip, and what opening its sound gives (sound.h).
 */
sp_reel *sp_reel_new(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                     const sp_reel_options *options, sp_error *error);
void sp_reel_free(sp_reel *reel);
const sp_reel_facts *sp_reel_get_facts(const sp_reel *reel);

/* A frame as it is handed to the coder; borrowed until the next call. NULL on failure. */
const sp_picture *sp_reel_draw(sp_reel *reel, int frame, sp_error *error);

/* Told before each picture, with the share that is done; false gives up: SP_ERROR_CANCELLED. */
typedef bool sp_reel_told(void *whom, double share);
/* The file appears under its name only when it is whole. `told` may be NULL. */
bool sp_reel_write(sp_reel *reel, const char *path, sp_reel_told *told, void *whom,
                   sp_error *error);

#endif
