/* What another process says of a clip, checked: it may have been made to say anything. All false
 * when it does not hold together. */
#ifndef SP_CLIP_TOLD_H
#define SP_CLIP_TOLD_H

#include "clip/run.h"
#include "clip/talk.h"

/* `times`: those of the frames, as they follow from the index. */
bool sp_told_facts(const sp_clip_facts *told, int frames, const double *times,
                   sp_clip_facts *facts);
bool sp_told_run_state(const sp_told_run *told, sp_run *run);
/* Into `picture`, whatever that held. */
bool sp_told_picture_take(const sp_told_picture *told, sp_arena_view *view, AVFrame *picture);
void sp_told_error(const sp_error *told, sp_error *error);

#endif
