#include "clip/reduced.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include <libavcodec/avcodec.h>
#include <libavutil/imgutils.h>
#include <libavutil/opt.h>

#include "clip/pool.h"
#include "clip/shrink.h"

/* The longer side of a reduced picture at the most; and at least where it is kept as it is, which
 * takes a third of the time of JPEG, and several times the memory. */
enum { SIDE = 960, SIDE_PLAIN = 640 };
/* From memory: JPEG of this quality takes about 1.6 bits a pixel of ordinary pictures. */
enum { QUALITY = 5, PIXELS_PER_BYTE = 5 };

/* What JPEG does not say of a picture. */
typedef struct {
    enum AVColorSpace matrix;
    enum AVColorTransferCharacteristic transfer;
    enum AVColorPrimaries primaries;
    enum AVColorRange range;
    enum AVChromaLocation chroma;
} meaning;

typedef struct {
    AVBufferRef *bytes; /* JPEG, or the planes one after the other */
    int width, height;
    meaning meaning;
    bool damaged, skipped;
} entry;

struct sp_reduced {
    int frames, factor;
    bool plain;    /* no JPEG */
    sp_pool *pool; /* then, for the planes */
    size_t budget;
    sp_converter *converter;
    /* the maker's own */
    sp_shrink shrink;
    AVCodecContext *encoder;
    AVPacket *packet;
    AVFrame *small;
    pthread_mutex_t lock; /* over what follows */
    entry *entries;
    int count, skipped;
    size_t bytes;
    bool full;
    AVCodecContext *idle; /* a decoder that nobody uses at the moment */
};

static int longer_side(const AVFrame *picture) {
    return picture->width > picture->height ? picture->width : picture->height;
}

/* So that all frames fit, if that is possible at all. */
static int choose_factor(const AVFrame *picture, int frames, size_t budget) {
    int factor = sp_shrink_factor((longer_side(picture) + SIDE - 1) / SIDE);
    const double pixels = (double)picture->width * picture->height * frames;
    while (factor < SP_SHRINK_MAX && pixels / factor / factor / PIXELS_PER_BYTE > (double)budget)
        factor = sp_shrink_factor(factor + 1);
    return factor;
}

/* The least factor at which all frames fit as they are, 0: none that leaves enough to be seen. */
static int choose_plain_factor(const AVFrame *picture, int frames, size_t budget) {
    const double bytes = 1.5 * picture->width * picture->height * frames;
    int factor = sp_shrink_factor((longer_side(picture) + SIDE - 1) / SIDE);
    while (bytes / factor / factor >= 0.98 * (double)budget) {
        if (factor == SP_SHRINK_MAX) return 0;
        factor = sp_shrink_factor(factor + 1);
    }
    return longer_side(picture) / factor >= SIDE_PLAIN ? factor : 0;
}

sp_reduced *sp_reduced_new(int frames, size_t budget, const sp_frame *sample) {
    sp_reduced *reduced = calloc(1, sizeof *reduced);
    if (reduced == NULL) return NULL;
    reduced->frames = frames;
    reduced->budget = budget;
    reduced->factor = choose_plain_factor(sample->picture, frames, budget);
    if (reduced->factor > 0) reduced->pool = sp_pool_new(NULL);
    reduced->plain = reduced->pool != NULL;
    if (!reduced->plain) reduced->factor = choose_factor(sample->picture, frames, budget);
    reduced->converter = sp_converter_ref(sample->converter);
    reduced->entries = calloc((size_t)frames + 1, sizeof *reduced->entries);
    reduced->packet = av_packet_alloc();
    reduced->small = av_frame_alloc();
    const bool locked = pthread_mutex_init(&reduced->lock, NULL) == 0;
    if (locked && reduced->entries != NULL && reduced->packet != NULL && reduced->small != NULL)
        return reduced;
    if (locked) {
        sp_reduced_free(reduced);
    } else {
        sp_converter_unref(reduced->converter);
        free(reduced->entries);
        sp_pool_unref(reduced->pool);
        av_packet_free(&reduced->packet);
        av_frame_free(&reduced->small);
        free(reduced);
    }
    return NULL;
}

void sp_reduced_free(sp_reduced *reduced) {
    if (reduced == NULL) return;
    for (int n = 0; reduced->entries != NULL && n < reduced->frames; n++)
        av_buffer_unref(&reduced->entries[n].bytes);
    free(reduced->entries);
    sp_pool_unref(reduced->pool);
    sp_shrink_clear(&reduced->shrink);
    avcodec_free_context(&reduced->encoder);
    avcodec_free_context(&reduced->idle);
    av_packet_free(&reduced->packet);
    av_frame_free(&reduced->small);
    sp_converter_unref(reduced->converter);
    pthread_mutex_destroy(&reduced->lock);
    free(reduced);
}

/* --- making --- */

/* JPEG knows full range only; the numbers go through as they are. */
static AVCodecContext *open_encoder(const AVFrame *small) {
    const AVCodec *kind = avcodec_find_encoder(AV_CODEC_ID_MJPEG);
    AVCodecContext *codec = kind != NULL ? avcodec_alloc_context3(kind) : NULL;
    if (codec == NULL) return NULL;
    codec->width = small->width;
    codec->height = small->height;
    codec->pix_fmt = AV_PIX_FMT_YUVJ420P;
    codec->time_base = (AVRational){1, 30};
    codec->thread_count = 1;
    codec->flags |= AV_CODEC_FLAG_QSCALE;
    codec->global_quality = QUALITY * FF_QP2LAMBDA;
    av_opt_set(codec->priv_data, "huffman", "default", 0);
    if (avcodec_open2(codec, kind, NULL) < 0) avcodec_free_context(&codec);
    return codec;
}

static AVBufferRef *encode(sp_reduced *reduced, AVFrame *small) {
    AVCodecContext *codec = reduced->encoder;
    if (codec == NULL || codec->width != small->width || codec->height != small->height) {
        avcodec_free_context(&reduced->encoder);
        reduced->encoder = codec = open_encoder(small);
    }
    small->format = AV_PIX_FMT_YUVJ420P;
    small->quality = QUALITY * FF_QP2LAMBDA;
    small->pts = AV_NOPTS_VALUE;
    if (codec == NULL || avcodec_send_frame(codec, small) < 0 ||
        avcodec_receive_packet(codec, reduced->packet) < 0)
        return NULL;
    /* Without the room to grow that the encoder leaves behind it. */
    const size_t size = (size_t)reduced->packet->size;
    AVBufferRef *jpeg = av_buffer_allocz(size + AV_INPUT_BUFFER_PADDING_SIZE);
    if (jpeg != NULL) {
        memcpy(jpeg->data, reduced->packet->data, size);
        jpeg->size = size;
    }
    av_packet_unref(reduced->packet);
    return jpeg;
}

static AVBufferRef *pack(sp_pool *pool, const AVFrame *small) {
    const enum AVPixelFormat format = (enum AVPixelFormat)small->format;
    const int size = av_image_get_buffer_size(format, small->width, small->height, 1);
    AVBufferRef *bytes = size > 0 ? sp_pool_get(pool, (size_t)size) : NULL;
    if (bytes != NULL)
        av_image_copy_to_buffer(bytes->data, size, (const uint8_t *const *)small->data,
                                small->linesize, format, small->width, small->height, 1);
    return bytes;
}

static entry make(sp_reduced *reduced, const sp_frame *frame) {
    entry made = {.damaged = sp_frame_damaged(frame)};
    AVFrame *small = reduced->small;
    if (sp_shrink_run(&reduced->shrink, frame->picture, reduced->factor, small)) {
        made.meaning = (meaning){small->colorspace, small->color_trc, small->color_primaries,
                                 small->color_range, small->chroma_location};
        made.width = small->width;
        made.height = small->height;
        made.bytes = reduced->plain ? pack(reduced->pool, small) : encode(reduced, small);
    }
    made.skipped = made.bytes == NULL;
    return made;
}

bool sp_reduced_put(sp_reduced *reduced, const sp_frame *frame) {
    entry made = make(reduced, frame);
    const size_t bytes = made.bytes != NULL ? made.bytes->size : 0;
    pthread_mutex_lock(&reduced->lock);
    entry *kept = &reduced->entries[frame->number];
    if (reduced->bytes + bytes > reduced->budget) reduced->full = true;
    const bool taken = !reduced->full && kept->bytes == NULL && !kept->skipped;
    if (taken) {
        *kept = made;
        reduced->bytes += bytes;
        reduced->count += made.bytes != NULL;
        reduced->skipped += made.skipped;
    }
    pthread_mutex_unlock(&reduced->lock);
    if (!taken) av_buffer_unref(&made.bytes);
    return taken && !made.skipped;
}

void sp_reduced_skip(sp_reduced *reduced, int n) {
    pthread_mutex_lock(&reduced->lock);
    entry *skipped = &reduced->entries[n];
    if (skipped->bytes == NULL && !skipped->skipped) {
        skipped->skipped = true;
        reduced->skipped++;
    }
    pthread_mutex_unlock(&reduced->lock);
}

int sp_reduced_missing(sp_reduced *reduced, int from) {
    int found = -1;
    pthread_mutex_lock(&reduced->lock);
    if (!reduced->full && reduced->count + reduced->skipped < reduced->frames)
        for (int i = 0; found < 0 && i < reduced->frames; i++) {
            const int n = (int)(((long long)from + i) % reduced->frames);
            if (reduced->entries[n].bytes == NULL && !reduced->entries[n].skipped) found = n;
        }
    pthread_mutex_unlock(&reduced->lock);
    return found;
}

/* --- showing --- */

static AVCodecContext *take_decoder(sp_reduced *reduced) {
    pthread_mutex_lock(&reduced->lock);
    AVCodecContext *codec = reduced->idle;
    reduced->idle = NULL;
    pthread_mutex_unlock(&reduced->lock);
    if (codec != NULL) return codec;
    const AVCodec *kind = avcodec_find_decoder(AV_CODEC_ID_MJPEG);
    codec = kind != NULL ? avcodec_alloc_context3(kind) : NULL;
    if (codec == NULL) return NULL;
    codec->thread_count = 1;
    if (avcodec_open2(codec, kind, NULL) < 0) avcodec_free_context(&codec);
    return codec;
}

static void return_decoder(sp_reduced *reduced, AVCodecContext *codec) {
    pthread_mutex_lock(&reduced->lock);
    AVCodecContext *surplus = reduced->idle;
    reduced->idle = codec;
    pthread_mutex_unlock(&reduced->lock);
    avcodec_free_context(&surplus);
}

static bool decode(sp_reduced *reduced, AVBufferRef *jpeg, AVFrame *picture) {
    AVCodecContext *codec = take_decoder(reduced);
    AVPacket *packet = av_packet_alloc();
    bool good = false;
    if (codec != NULL && packet != NULL) {
        packet->buf = av_buffer_ref(jpeg);
        packet->data = jpeg->data;
        packet->size = (int)jpeg->size;
        good = packet->buf != NULL && avcodec_send_packet(codec, packet) >= 0 &&
               avcodec_receive_frame(codec, picture) >= 0;
    }
    av_packet_free(&packet);
    if (codec != NULL) return_decoder(reduced, codec);
    return good;
}

static void set_meaning(AVFrame *picture, const meaning *told) {
    picture->format = AV_PIX_FMT_YUV420P;
    picture->colorspace = told->matrix;
    picture->color_trc = told->transfer;
    picture->color_primaries = told->primaries;
    picture->color_range = told->range;
    picture->chroma_location = told->chroma;
}

/* The planes as they were packed; nothing is copied. */
static bool unpack(const entry *kept, AVBufferRef *bytes, AVFrame *picture) {
    picture->buf[0] = av_buffer_ref(bytes);
    picture->width = kept->width;
    picture->height = kept->height;
    return picture->buf[0] != NULL &&
           av_image_fill_arrays(picture->data, picture->linesize, bytes->data, AV_PIX_FMT_YUV420P,
                                kept->width, kept->height, 1) >= 0;
}

sp_frame *sp_reduced_get(sp_reduced *reduced, int n) {
    pthread_mutex_lock(&reduced->lock);
    entry kept = reduced->entries[n];
    AVBufferRef *bytes = kept.bytes != NULL ? av_buffer_ref(kept.bytes) : NULL;
    pthread_mutex_unlock(&reduced->lock);
    if (bytes == NULL) return NULL;
    AVFrame *picture = av_frame_alloc();
    sp_frame *frame = NULL;
    if (picture != NULL &&
        (reduced->plain ? unpack(&kept, bytes, picture) : decode(reduced, bytes, picture))) {
        set_meaning(picture, &kept.meaning);
        frame = sp_frame_new(picture, n, reduced->converter);
    }
    av_frame_free(&picture);
    av_buffer_unref(&bytes);
    if (frame == NULL) return NULL;
    frame->reduced = true;
    atomic_store(&frame->damaged, kept.damaged);
    return frame;
}

bool sp_reduced_has(sp_reduced *reduced, int n) {
    pthread_mutex_lock(&reduced->lock);
    const bool there = reduced->entries[n].bytes != NULL;
    pthread_mutex_unlock(&reduced->lock);
    return there;
}

void sp_reduced_measure(sp_reduced *reduced, int *count, size_t *bytes) {
    pthread_mutex_lock(&reduced->lock);
    *count = reduced->count;
    *bytes = reduced->bytes;
    pthread_mutex_unlock(&reduced->lock);
}
