#include "clip/colour.h"

enum AVPixelFormat sp_colour_plain_format(enum AVPixelFormat format) {
    switch (format) {
    case AV_PIX_FMT_YUVJ420P: return AV_PIX_FMT_YUV420P;
    case AV_PIX_FMT_YUVJ411P: return AV_PIX_FMT_YUV411P;
    case AV_PIX_FMT_YUVJ422P: return AV_PIX_FMT_YUV422P;
    case AV_PIX_FMT_YUVJ440P: return AV_PIX_FMT_YUV440P;
    case AV_PIX_FMT_YUVJ444P: return AV_PIX_FMT_YUV444P;
    default: return format;
    }
}

bool sp_colour_is_full_range(const AVFrame *picture) {
    const enum AVPixelFormat format = (enum AVPixelFormat)picture->format;
    return picture->color_range == AVCOL_RANGE_JPEG || sp_colour_plain_format(format) != format;
}

enum AVColorSpace sp_colour_matrix(const AVFrame *picture) {
    if (picture->colorspace != AVCOL_SPC_UNSPECIFIED && picture->colorspace != AVCOL_SPC_RESERVED)
        return picture->colorspace;
    /* Common practice, no source: standard definition is BT.601, more is BT.709. */
    return picture->height < 720 ? AVCOL_SPC_SMPTE170M : AVCOL_SPC_BT709;
}
