/* Small clips made in the test itself, and a plain straight decode to hold them against. */
#ifndef SP_TESTS_CLIP_MAKER_H
#define SP_TESTS_CLIP_MAKER_H

#include <assert.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/imgutils.h>
#include <libavutil/md5.h>
#include <libavutil/opt.h>

#include "../near.h"

enum { MADE_WIDTH = 112, MADE_HEIGHT = 80, MADE_RATE = 30 };

typedef struct {
    const char *codec;
    int frames, group, b_frames;
    const char *muxer_option, *muxer_value; /* NULL: none */
    const char *more_x264;                  /* NULL: none */
    int more_streams;
} made_clip;

/* In a folder of its own under /tmp; the caller removes the file with made_remove. */
static inline char *made_path(const char *name) {
    static char path[256];
    char folder[] = "/tmp/serveplumb-clip-XXXXXX";
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static inline void made_remove(char *path) {
    unlink(path);
    *strrchr(path, '/') = '\0';
    rmdir(path);
}

static inline void made_draw(AVFrame *frame, int n) {
    uint32_t state = 2463534242u + (uint32_t)n * 977u;
    assert_true(av_frame_make_writable(frame) >= 0);
    for (int plane = 0; plane < 3; plane++) {
        const int shift = plane > 0;
        for (int y = 0; y < MADE_HEIGHT >> shift; y++)
            for (int x = 0; x < MADE_WIDTH >> shift; x++) {
                state ^= state << 13, state ^= state >> 17, state ^= state << 5;
                const int slope = plane == 0 ? x + 3 * n + (y ^ n) : 100 + y + plane * n;
                frame->data[plane][y * frame->linesize[plane] + x] =
                    (uint8_t)(40 + (slope + (int)(state % 23)) % 170);
            }
    }
}

static inline void made_mux(AVFormatContext *file, AVCodecContext *codec, const AVFrame *frame) {
    AVPacket *packet = av_packet_alloc();
    assert_true(avcodec_send_frame(codec, frame) >= 0);
    while (avcodec_receive_packet(codec, packet) >= 0) {
        av_packet_rescale_ts(packet, codec->time_base, file->streams[0]->time_base);
        packet->stream_index = 0;
        assert_true(av_interleaved_write_frame(file, packet) >= 0);
    }
    av_packet_free(&packet);
}

static inline AVCodecContext *made_encoder(const made_clip *made, const AVFormatContext *file) {
    const AVCodec *kind = avcodec_find_encoder_by_name(made->codec);
    assert_non_null(kind);
    AVCodecContext *codec = avcodec_alloc_context3(kind);
    codec->width = MADE_WIDTH;
    codec->height = MADE_HEIGHT;
    codec->pix_fmt = strcmp(made->codec, "mjpeg") == 0 ? AV_PIX_FMT_YUVJ420P : AV_PIX_FMT_YUV420P;
    codec->time_base = (AVRational){1, MADE_RATE};
    codec->framerate = (AVRational){MADE_RATE, 1};
    codec->gop_size = made->group;
    codec->max_b_frames = made->b_frames;
    codec->bit_rate = 600000;
    codec->thread_count = 1;
    codec->sw_pix_fmt = codec->pix_fmt;
    if ((file->oformat->flags & AVFMT_GLOBALHEADER) != 0)
        codec->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    char x264[128] = "scenecut=0:log-level=none";
    if (made->more_x264 != NULL) strcat(strcat(x264, ":"), made->more_x264);
    av_opt_set(codec->priv_data, "x264-params", x264, 0);
    assert_true(avcodec_open2(codec, kind, NULL) >= 0);
    return codec;
}

static inline void made_write(const char *path, const made_clip *made) {
    av_log_set_level(AV_LOG_QUIET);
    AVFormatContext *file = NULL;
    assert_true(avformat_alloc_output_context2(&file, NULL, NULL, path) >= 0);
    AVCodecContext *codec = made_encoder(made, file);
    for (int i = 0; i <= made->more_streams; i++) {
        AVStream *stream = avformat_new_stream(file, NULL);
        assert_true(avcodec_parameters_from_context(stream->codecpar, codec) >= 0);
        stream->codecpar->codec_tag = 0;
        stream->time_base = codec->time_base;
    }
    AVDictionary *options = NULL;
    if (made->muxer_option != NULL) {
        av_dict_parse_string(&options, made->muxer_value, "=", ":", 0);
        av_dict_set(&options, made->muxer_option, "1", AV_DICT_DONT_OVERWRITE);
    }
    assert_true(avio_open(&file->pb, path, AVIO_FLAG_WRITE) >= 0);
    assert_true(avformat_write_header(file, &options) >= 0);
    av_dict_free(&options);
    AVFrame *frame = av_frame_alloc();
    frame->format = codec->pix_fmt;
    frame->width = MADE_WIDTH;
    frame->height = MADE_HEIGHT;
    assert_true(av_frame_get_buffer(frame, 0) >= 0);
    for (int n = 0; n < made->frames; n++) {
        made_draw(frame, n);
        frame->pts = n;
        made_mux(file, codec, frame);
    }
    made_mux(file, codec, NULL);
    assert_true(av_write_trailer(file) >= 0);
    av_frame_free(&frame);
    avcodec_free_context(&codec);
    avio_closep(&file->pb);
    avformat_free_context(file);
}

typedef struct {
    char hex[33];
} made_hash;

static inline void made_hash_frame(const AVFrame *frame, made_hash *hash) {
    static uint8_t packed[MADE_WIDTH * MADE_HEIGHT * 2];
    uint8_t digest[16];
    const int size = av_image_copy_to_buffer(
        packed, sizeof packed, (const uint8_t *const *)frame->data, frame->linesize,
        (enum AVPixelFormat)frame->format, frame->width, frame->height, 1);
    assert_true(size > 0);
    av_md5_sum(digest, packed, (size_t)size);
    for (int i = 0; i < 16; i++) snprintf(hash->hex + 2 * i, 3, "%02x", digest[i]);
}

/* One thread, start to end, no seeking: what every frame has to equal. Gives how many there are. */
static inline int made_decode(const char *path, made_hash *hashes, int room) {
    AVFormatContext *file = NULL;
    assert_true(avformat_open_input(&file, path, NULL, NULL) >= 0);
    assert_true(avformat_find_stream_info(file, NULL) >= 0);
    const AVCodec *kind = avcodec_find_decoder(file->streams[0]->codecpar->codec_id);
    AVCodecContext *codec = avcodec_alloc_context3(kind);
    assert_true(avcodec_parameters_to_context(codec, file->streams[0]->codecpar) >= 0);
    codec->thread_count = 1;
    assert_true(avcodec_open2(codec, kind, NULL) >= 0);
    AVPacket *packet = av_packet_alloc();
    AVFrame *frame = av_frame_alloc();
    int count = 0;
    for (bool more = true; more;) {
        more = av_read_frame(file, packet) >= 0;
        avcodec_send_packet(codec, more ? packet : NULL);
        while (avcodec_receive_frame(codec, frame) >= 0) {
            assert_true(count < room);
            made_hash_frame(frame, &hashes[count++]);
        }
        av_packet_unref(packet);
    }
    av_frame_free(&frame);
    av_packet_free(&packet);
    avcodec_free_context(&codec);
    avformat_close_input(&file);
    return count;
}

static inline char *made_read(const char *path, size_t *length) {
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    *length = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*length + 1);
    assert_int_equal(fread(bytes, 1, *length, file), *length);
    fclose(file);
    return bytes;
}

static inline void made_store(const char *path, const void *bytes, size_t length) {
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

#endif
