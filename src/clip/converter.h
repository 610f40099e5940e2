/* From a decoded picture to upright 8-bit RGB. One converter serves all frames of a clip, from any
 * thread, one at a time. */
#ifndef SP_CLIP_CONVERTER_H
#define SP_CLIP_CONVERTER_H

#include <stdbool.h>

#include <libavutil/frame.h>

#include "serveplumb/error.h"
#include "serveplumb/picture.h"

typedef struct sp_converter sp_converter;

/* The stored picture is flipped left and right when `mirrored`, then turned clockwise. NULL without
 * memory. */
sp_converter *sp_converter_new(int rotation_deg, bool mirrored);
sp_converter *sp_converter_ref(sp_converter *converter);
void sp_converter_unref(sp_converter *converter);

bool sp_converter_run(sp_converter *converter, const AVFrame *from, sp_picture *to,
                      sp_error *error);

#endif
