#include "clip/encode_layer.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/* ITU-R BT.709: Kr 0.2126, Kb 0.0722; luma 16..235, chroma 16..240, in 1/65536. The layer is
 * premultiplied, so that what is added needs no alpha of its own but for the offsets. */
enum {
    ONE = 65536,
    YR = 11966, /* 0.2126 * 219 / 255 */
    YG = 40254,
    YB = 4064,
    UR = -6596, /* -0.2126 / 1.8556 * 224 / 255 */
    UG = -22189,
    UB = 28784, /* 0.5 * 224 / 255 */
    VR = 28784,
    VG = -26145,
    VB = -2639
};

typedef struct {
    int a, r, g, b;
} sums;

static sums parts(uint32_t pixel) {
    return (sums){(int)(pixel >> 24), (int)(pixel >> 16 & 0xFF), (int)(pixel >> 8 & 0xFF),
                  (int)(pixel & 0xFF)};
}

static uint8_t clamp(int value) { return (uint8_t)(value < 0 ? 0 : value > 255 ? 255 : value); }

/* x / 255 for 0 <= x <= 255 * 255, rounded. */
static int over_255(int x) { return (x + 128 + ((x + 128) >> 8)) >> 8; }

static uint8_t luma(uint8_t under, sums p) {
    const int added = (YR * p.r + YG * p.g + YB * p.b + ONE / 2) >> 16;
    return clamp(over_255(under * (255 - p.a) + 16 * p.a) + added);
}

static uint8_t chroma(uint8_t under, sums mean, int r, int g, int b) {
    const int added = (r * mean.r + g * mean.g + b * mean.b + ONE / 2) >> 16;
    return clamp(over_255(under * (255 - mean.a) + 128 * mean.a) + added);
}

/* Grounds are even: what the last wholly opaque square gave, serves for the next. */
typedef struct {
    uint64_t two[2];
    uint8_t y[4], u, v;
    bool there;
} last_square;

static bool is_opaque(const uint32_t pixels[4]) {
    return (pixels[0] & pixels[1] & pixels[2] & pixels[3]) >> 24 == 0xFF;
}

static void blend_square(const uint32_t pixels[4], uint8_t *y0, uint8_t *y1, uint8_t *u,
                         uint8_t *v) {
    sums mean = {2, 2, 2, 2};
    uint8_t *const lumas[4] = {y0, y0 + 1, y1, y1 + 1};
    for (int i = 0; i < 4; i++) {
        const sums p = parts(pixels[i]);
        if (p.a != 0) *lumas[i] = luma(*lumas[i], p);
        mean = (sums){mean.a + p.a, mean.r + p.r, mean.g + p.g, mean.b + p.b};
    }
    mean = (sums){mean.a / 4, mean.r / 4, mean.g / 4, mean.b / 4};
    *u = chroma(*u, mean, UR, UG, UB);
    *v = chroma(*v, mean, VR, VG, VB);
}

/* Of eight pixels in each of two rows. */
static bool is_empty(const uint8_t *above, const uint8_t *below) {
    uint64_t a[4], b[4];
    memcpy(a, above, sizeof a);
    memcpy(b, below, sizeof b);
    return (a[0] | a[1] | a[2] | a[3] | b[0] | b[1] | b[2] | b[3]) == 0;
}

void sp_encode_layer_blend(const sp_picture *layer, AVFrame *frame) {
    for (int y = 0; y < layer->height; y += 2) {
        const uint8_t *above = layer->pixels + (size_t)y * layer->stride;
        uint8_t *y0 = frame->data[0] + (ptrdiff_t)y * frame->linesize[0];
        uint8_t *y1 = y0 + frame->linesize[0];
        uint8_t *u = frame->data[1] + (ptrdiff_t)(y / 2) * frame->linesize[1];
        uint8_t *v = frame->data[2] + (ptrdiff_t)(y / 2) * frame->linesize[2];
        last_square last = {.there = false};
        for (int x = 0; x < layer->width; x += 2) {
            const uint8_t *at = above + (size_t)x * 4; /* most of it is empty */
            while (x + 8 < layer->width && is_empty(at, at + layer->stride)) {
                x += 8;
                at += 32;
            }
            uint64_t two[2];
            memcpy(&two[0], at, sizeof two[0]);
            memcpy(&two[1], at + layer->stride, sizeof two[1]);
            if ((two[0] | two[1]) == 0) continue;
            if (!last.there || last.two[0] != two[0] || last.two[1] != two[1]) {
                uint32_t pixels[4];
                memcpy(pixels, two, sizeof pixels);
                blend_square(pixels, y0 + x, y1 + x, u + x / 2, v + x / 2);
                last = (last_square){{two[0], two[1]},
                                     {y0[x], y0[x + 1], y1[x], y1[x + 1]},
                                     u[x / 2],
                                     v[x / 2],
                                     is_opaque(pixels)};
                continue;
            }
            memcpy(y0 + x, last.y, 2);
            memcpy(y1 + x, last.y + 2, 2);
            u[x / 2] = last.u;
            v[x / 2] = last.v;
        }
    }
}
