/* The voices of a talk-through as one sound, piece after piece. */
#ifndef SP_DELIVER_TALK_VOICE_H
#define SP_DELIVER_TALK_VOICE_H

#include "serveplumb/talk.h"
#include "serveplumb/voice.h"

typedef struct {
    const sp_talk *talk;
    sp_voice **voices; /* of each take; NULL: none */
} sp_talk_voice;

/* `any` tells whether a piece has a voice. Only the voices of pieces are opened. */
bool sp_talk_voice_open(sp_talk_voice *voice, const sp_talk *talk, const char *talk_path, bool *any,
                        sp_error *error);
void sp_talk_voice_close(sp_talk_voice *voice);
/* Samples of the whole, from `from` on; silence where there is none. */
bool sp_talk_voice_copy(sp_talk_voice *voice, int64_t from, size_t count, float *samples,
                        sp_error *error);

#endif
