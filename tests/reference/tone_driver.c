/* Colours in, sRGB out, the whole way that a decoded picture goes; asked by test_tone.py.
 *
 * With no argument: lines "TRANSFER PRIMARIES FULL Y CB CR" of 10 bits (BT.2020 matrix), FFmpeg's
 * numbers for the first two, answered by "R G B". With CLIP OUT.ppm: its first frame. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libavutil/frame.h>

#include "clip/converter.h"
#include "serveplumb/clip.h"

enum { SIDE = 16 };

static AVFrame *flat(const int word[6]) {
    AVFrame *picture = av_frame_alloc();
    picture->format = AV_PIX_FMT_YUV444P10LE;
    picture->width = picture->height = SIDE;
    picture->color_trc = (enum AVColorTransferCharacteristic)word[0];
    picture->color_primaries = (enum AVColorPrimaries)word[1];
    picture->color_range = word[2] != 0 ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
    picture->colorspace = AVCOL_SPC_BT2020_NCL;
    if (av_frame_get_buffer(picture, 0) < 0) exit(1);
    for (int plane = 0; plane < 3; plane++)
        for (int y = 0; y < SIDE; y++)
            for (int x = 0; x < SIDE; x++) {
                const uint16_t value = (uint16_t)word[3 + plane];
                memcpy(picture->data[plane] + y * picture->linesize[plane] + 2 * x, &value, 2);
            }
    return picture;
}

static void answer(sp_converter *converter, const int word[6]) {
    AVFrame *picture = flat(word);
    sp_picture to;
    uint32_t pixel;
    if (!sp_picture_init(&to, SIDE, SIDE, NULL)) exit(1);
    if (!sp_converter_run(converter, picture, &to, NULL)) exit(1);
    memcpy(&pixel, to.pixels + to.stride * 7 + 28, 4);
    printf("%u %u %u\n", pixel >> 16 & 255, pixel >> 8 & 255, pixel & 255);
    sp_picture_clear(&to);
    av_frame_free(&picture);
}

static int write_frame(const char *path, const char *out) {
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, NULL, &error);
    sp_frame *frame = clip != NULL ? sp_clip_frame(clip, 0, &error) : NULL;
    FILE *file = fopen(out, "wb");
    sp_picture to = {0};
    if (frame == NULL || file == NULL) return 1;
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    if (!sp_picture_init(&to, facts->width, facts->height, &error) ||
        !sp_frame_to_picture(frame, &to, &error))
        return 1;
    fprintf(file, "P6 %d %d 255\n", to.width, to.height);
    for (int y = 0; y < to.height; y++)
        for (int x = 0; x < to.width; x++) {
            uint32_t pixel;
            memcpy(&pixel, to.pixels + (size_t)y * to.stride + (size_t)x * 4, 4);
            for (int shift = 16; shift >= 0; shift -= 8) fputc((int)(pixel >> shift & 255), file);
        }
    sp_picture_clear(&to);
    sp_frame_unref(frame);
    sp_clip_close(clip);
    return fclose(file);
}

int main(int count, char **arguments) {
    if (count == 3) return write_frame(arguments[1], arguments[2]);
    sp_converter *converter = sp_converter_new(0, false);
    int word[6];
    while (scanf("%d %d %d %d %d %d", &word[0], &word[1], &word[2], &word[3], &word[4], &word[5]) ==
           6)
        answer(converter, word);
    sp_converter_unref(converter);
    return 0;
}
