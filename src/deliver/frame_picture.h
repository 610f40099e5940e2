/* A frame of a clip as pixels, at full resolution. */
#ifndef SP_DELIVER_FRAME_PICTURE_H
#define SP_DELIVER_FRAME_PICTURE_H

#include <stdbool.h>

#include "serveplumb/clip.h"

/* A damaged frame is given as it is, and `damaged` says so. */
bool sp_frame_picture_read(sp_clip *clip, int n, sp_picture *picture, bool *damaged,
                           sp_error *error);

#endif
