/* A frame's upright luma, for carrying points. */
#ifndef SP_DELIVER_FRAME_LUMA_H
#define SP_DELIVER_FRAME_LUMA_H

#include "serveplumb/clip.h"

/* Fills width x height bytes of the clip's facts, without gaps. */
bool sp_frame_luma_read(sp_clip *clip, int n, uint8_t *luma, sp_error *error);

#endif
