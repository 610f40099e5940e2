/* The clip's own sound, quieter, under the voices of a talk-through: heard while the clip plays at
 * its own speed or slower, as the window plays it, and silent while it stands. */
#ifndef SP_DELIVER_TALK_UNDER_H
#define SP_DELIVER_TALK_UNDER_H

#include "serveplumb/readout.h"
#include "serveplumb/sound.h"
#include "serveplumb/talk.h"

typedef struct {
    const sp_talk *talk;
    sp_frame_times times;
    double end_s, slowdown; /* of the clip */
    float level;
    sp_sound *sound; /* NULL: none is mixed in */
    sp_stretch *playing;
    double speed;   /* of what is playing, by the clip's own clock */
    int64_t number; /* of `block` in the whole; -1: none */
    float block[SP_STRETCH_STEP];
} sp_talk_under;

/* `level`: what its samples are multiplied by. SP_ERROR_FORMAT when the clip has no sound. */
bool sp_talk_under_open(sp_talk_under *under, const sp_talk *talk, sp_clip *clip,
                        const char *clip_path, double slowdown, double level, sp_error *error);
void sp_talk_under_close(sp_talk_under *under);
/* Adds what lies under the samples of the whole from `from` on; asked in order. */
bool sp_talk_under_add(sp_talk_under *under, int64_t from, size_t count, float *samples,
                       sp_error *error);

#endif
