/* What the numbers of a picture mean. */
#ifndef SP_CLIP_COLOUR_H
#define SP_CLIP_COLOUR_H

#include <stdbool.h>

#include <libavutil/frame.h>
#include <libavutil/pixfmt.h>

bool sp_colour_is_full_range(const AVFrame *picture);
/* The picture's own matrix, or the one common practice takes where the clip names none. */
enum AVColorSpace sp_colour_matrix(const AVFrame *picture);
/* The format without the range that its name implies (yuvj420p is yuv420p in full range). */
enum AVPixelFormat sp_colour_plain_format(enum AVPixelFormat format);

#endif
