#include "clip/layout.h"

#include <limits.h>
#include <stdbool.h>

#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>

#include "clip/ties.h"

/* No decoder of FFmpeg reads or writes in longer vectors (AVX-512). */
enum { VECTOR = 64 };

typedef struct {
    int strides[4];
    size_t offsets[4], bytes;
    int planes;
} layout;

/* Strides keep the proportion of luma to chroma, which some decoders count on. */
static bool lay_out(AVCodecContext *codec, const AVFrame *frame, layout *made) {
    const enum AVPixelFormat format = (enum AVPixelFormat)frame->format;
    const AVPixFmtDescriptor *about = av_pix_fmt_desc_get(format);
    int width = frame->width, height = frame->height, edges[AV_NUM_DATA_POINTERS];
    *made = (layout){.planes = av_pix_fmt_count_planes(format)};
    if (about == NULL || made->planes < 1 || width > INT_MAX / 2) return false;
    avcodec_align_dimensions2(codec, &width, &height, edges);
    width = FFALIGN(width, VECTOR << about->log2_chroma_w);
    if (av_image_fill_linesizes(made->strides, format, width) < 0) return false;
    ptrdiff_t strides[4];
    size_t sizes[4];
    for (int i = 0; i < 4; i++) strides[i] = made->strides[i];
    if (av_image_fill_plane_sizes(sizes, format, height, strides) < 0) return false;
    for (int i = 0; i < made->planes; i++) {
        made->offsets[i] = made->bytes;
        made->bytes += FFALIGN(sizes[i] + VECTOR, (size_t)VECTOR);
    }
    return true;
}

/* Palettes and pictures in a graphics card's memory are left to FFmpeg. */
static bool is_plain(const AVCodecContext *codec, const AVFrame *frame) {
    const AVPixFmtDescriptor *about = av_pix_fmt_desc_get((enum AVPixelFormat)frame->format);
    return (codec->codec->capabilities & AV_CODEC_CAP_DR1) != 0 && about != NULL &&
           (about->flags & (AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_HWACCEL)) == 0;
}

static int get_buffer(AVCodecContext *codec, AVFrame *frame, int flags) {
    layout made;
    if (!is_plain(codec, frame) || !lay_out(codec, frame, &made))
        return avcodec_default_get_buffer2(codec, frame, flags);
    const sp_ties *ties = codec->opaque;
    frame->buf[0] = sp_pool_get(ties->pool, made.bytes);
    if (frame->buf[0] == NULL) return AVERROR(ENOMEM);
    for (int i = 0; i < made.planes; i++) {
        frame->data[i] = frame->buf[0]->data + made.offsets[i];
        frame->linesize[i] = made.strides[i];
    }
    frame->extended_data = frame->data;
    return 0;
}

void sp_layout_serve(AVCodecContext *codec) {
    codec->get_buffer2 = get_buffer;
#if LIBAVCODEC_VERSION_MAJOR < 60
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wdeprecated-declarations"
    codec->thread_safe_callbacks = 1; /* from version 60 on it always is */
#pragma GCC diagnostic pop
#endif
}
