/* The talk-through as a clip: the coach's voice over what they did, drawn anew and so as sharp as
 * the clip is. Pictures change on the nearest of SP_TALK_RATE times a second. */
#ifndef SERVEPLUMB_TALK_CLIP_H
#define SERVEPLUMB_TALK_CLIP_H

#include "serveplumb/clip.h"
#include "serveplumb/encoder.h"
#include "serveplumb/overlay.h"
#include "serveplumb/readout.h"
#include "serveplumb/reel.h"
#include "serveplumb/talk.h"

#define SP_TALK_RATE 30

typedef struct {
    sp_units units;
    sp_coding coding;
    const char *clip_path; /* of the clip, for its own sound under the voice; NULL: none of it */
} sp_talk_clip_options;

/* So loud the clip's own sound is under the voice: 12 dB below how it was recorded. Own choice. */
#define SP_TALK_UNDER_LEVEL 0.25

typedef struct sp_talk_clip sp_talk_clip;

/* `talk_path`: where the talk-through lies, with its voices beside it. All must outlive it.
 * SP_ERROR_FILE when a voice is not there; SP_ERROR_FORMAT when the clip's own sound is asked for
 * and it has none. */
sp_talk_clip *sp_talk_clip_new(sp_clip *clip, const sp_review *review, const sp_readout *readout,
                               const sp_talk *talk, const char *talk_path,
                               const sp_talk_clip_options *options, sp_error *error);
void sp_talk_clip_free(sp_talk_clip *talk_clip);
const sp_reel_facts *sp_talk_clip_get_facts(const sp_talk_clip *talk_clip);

/* The frame of the clip that is seen in that state, by the frames' own times. */
int sp_talk_state_frame(const sp_talk_state *state, sp_frame_times times, double slowdown);
/* What is seen at a time; borrowed until the next call. NULL on failure. */
const sp_picture *sp_talk_clip_draw(sp_talk_clip *talk_clip, double time_s, sp_error *error);
/* As sp_reel_write. */
bool sp_talk_clip_write(sp_talk_clip *talk_clip, const char *path, sp_reel_told *told, void *whom,
                        sp_error *error);

#endif
