/* The clip's own sound beside a reel that runs as the clip does; silence where it is held. */
#ifndef SP_DELIVER_REEL_SOUND_H
#define SP_DELIVER_REEL_SOUND_H

#include "deliver/reel_plan.h"
#include "serveplumb/encoder.h"
#include "serveplumb/sound.h"

typedef struct {
    sp_sound *sound;
    int channels;
    int64_t written; /* samples of each channel */
} sp_reel_sound;

bool sp_reel_sound_open(sp_reel_sound *sound, const char *clip_path, const sp_clip *clip,
                        sp_error *error);
void sp_reel_sound_close(sp_reel_sound *sound);
/* What is heard during the shot. */
bool sp_reel_sound_write(sp_reel_sound *sound, const sp_shot *shot, sp_encoder *encoder,
                         sp_error *error);

#endif
