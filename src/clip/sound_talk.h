/* The sound of a clip out of a process of its own: the same as sound_stream.h, through messages. */
#ifndef SP_CLIP_SOUND_TALK_H
#define SP_CLIP_SOUND_TALK_H

#include "clip/sound_stream.h"

/* --- our side, as those of sound_stream.h --- */

/* A process that is shut in and has seen nothing of any clip yet; false where none can be had. */
bool sp_sound_talk_start(sp_sound_stream *stream);
/* Takes `file`. */
bool sp_sound_talk_open(sp_sound_stream *stream, int file, const char *path, double start_s,
                        sp_error *error);
bool sp_sound_talk_next(sp_sound_stream *stream, sp_sound_block *block);
bool sp_sound_talk_go(sp_sound_stream *stream, const sp_sound_anchor *anchor, sp_error *error);

/* --- the other side --- */

/* Takes `file`; until the other side ends. */
void sp_sound_talk_serve(int socket, int file, const char *path);

#endif
