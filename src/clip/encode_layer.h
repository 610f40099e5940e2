/* A drawn layer over samples of 4:2:0, BT.709, limited range. */
#ifndef SP_CLIP_ENCODE_LAYER_H
#define SP_CLIP_ENCODE_LAYER_H

#include <stdbool.h>

#include <libavutil/frame.h>

#include "serveplumb/picture.h"

/* Two rows, from an even row on. Both of the same even size; where the layer is transparent the
 * samples stay as they are. False: all of it was. */
bool sp_encode_layer_blend_rows(const sp_picture *layer, int y, AVFrame *frame);

#endif
