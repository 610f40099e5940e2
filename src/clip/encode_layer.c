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

/* Two rows of the layer and the samples under them. */
typedef struct {
    const uint8_t *above, *below;
    uint8_t *y0, *y1, *u, *v;
} rows;

/* Pixels looked at together: most of a layer is empty, and most of the rest is even ground. */
enum { RUN = 16, WORDS = RUN / 2 };
typedef enum { MIXED, EMPTY, EVEN } run_kind;

/* EVEN: all of one opaque colour. */
static run_kind kind_of(const rows *r, int x, uint32_t *colour) {
    uint64_t a[WORDS], b[WORDS], any = 0, unlike = 0;
    memcpy(a, r->above + (size_t)x * 4, sizeof a);
    memcpy(b, r->below + (size_t)x * 4, sizeof b);
    for (int i = 0; i < WORDS; i++) {
        any |= a[i] | b[i];
        unlike |= (a[i] ^ a[0]) | (b[i] ^ a[0]);
    }
    *colour = (uint32_t)a[0];
    if (any == 0) return EMPTY;
    const bool even = unlike == 0 && a[0] >> 32 == *colour && *colour >> 24 == 0xFF;
    return even ? EVEN : MIXED;
}

static void blend_at(const rows *r, int x) {
    uint32_t pixels[4];
    memcpy(pixels, r->above + (size_t)x * 4, 8);
    memcpy(pixels + 2, r->below + (size_t)x * 4, 8);
    if ((pixels[0] | pixels[1] | pixels[2] | pixels[3]) == 0) return;
    blend_square(pixels, r->y0 + x, r->y1 + x, r->u + x / 2, r->v + x / 2);
}

static void fill_run(const rows *r, int x, uint32_t colour) {
    const uint32_t pixels[4] = {colour, colour, colour, colour};
    blend_square(pixels, r->y0 + x, r->y1 + x, r->u + x / 2, r->v + x / 2);
    memset(r->y0 + x, r->y0[x], RUN);
    memset(r->y1 + x, r->y0[x], RUN);
    memset(r->u + x / 2, r->u[x / 2], RUN / 2);
    memset(r->v + x / 2, r->v[x / 2], RUN / 2);
}

static void blend_stretch(const rows *r, int x, int end) {
    for (uint32_t colour; x + RUN <= end; x += RUN) {
        const run_kind kind = kind_of(r, x, &colour);
        if (kind == EVEN) fill_run(r, x, colour);
        for (int i = 0; kind == MIXED && i < RUN; i += 2) blend_at(r, x + i);
    }
    for (; x < end; x += 2) blend_at(r, x);
}

/* Against itself one byte on: the C library compares as fast as memory comes. */
static bool is_empty(const uint8_t *pixels, int count) {
    const size_t bytes = (size_t)count * 4;
    return pixels[0] == 0 && memcmp(pixels, pixels + 1, bytes - 1) == 0;
}

/* Most of a layer is empty: in stretches of so many pixels. */
enum { STRETCH = 16 * RUN };

static bool blend_rows(const rows *r, int width) {
    bool any = false;
    for (int x = 0; x < width; x += STRETCH) {
        const int count = width - x < STRETCH ? width - x : STRETCH;
        if (is_empty(r->above + (size_t)x * 4, count) && is_empty(r->below + (size_t)x * 4, count))
            continue;
        blend_stretch(r, x, x + count);
        any = true;
    }
    return any;
}

bool sp_encode_layer_blend_rows(const sp_picture *layer, int y, AVFrame *frame) {
    const uint8_t *above = layer->pixels + (size_t)y * layer->stride;
    uint8_t *y0 = frame->data[0] + (ptrdiff_t)y * frame->linesize[0];
    const rows r = {.above = above,
                    .below = above + layer->stride,
                    .y0 = y0,
                    .y1 = y0 + frame->linesize[0],
                    .u = frame->data[1] + (ptrdiff_t)(y / 2) * frame->linesize[1],
                    .v = frame->data[2] + (ptrdiff_t)(y / 2) * frame->linesize[2]};
    return blend_rows(&r, layer->width);
}
