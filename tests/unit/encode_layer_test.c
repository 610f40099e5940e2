/* A drawn layer over a clip's samples: against the formulas in doubles, pixel by pixel. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "clip/encode_layer.h"
#include "near.h"

#define WIDTH 1082 /* four stretches and a rest that is no whole run */
#define HEIGHT 6

static uint32_t next(uint32_t *seed) { return *seed = *seed * 1664525u + 1013904223u; }

static AVFrame *samples_new(uint32_t seed) {
    AVFrame *frame = av_frame_alloc();
    assert_non_null(frame);
    frame->format = AV_PIX_FMT_YUV420P;
    frame->width = WIDTH;
    frame->height = HEIGHT;
    assert_true(av_frame_get_buffer(frame, 0) >= 0);
    for (int i = 0; i < 3; i++)
        for (int y = 0; y < (i == 0 ? HEIGHT : HEIGHT / 2); y++)
            for (int x = 0; x < (i == 0 ? WIDTH : WIDTH / 2); x++)
                frame->data[i][y * frame->linesize[i] + x] =
                    (uint8_t)(16 + (next(&seed) >> 24) % 220);
    return frame;
}

static void put(sp_picture *layer, int x, int y, uint32_t pixel) {
    ((uint32_t *)(void *)(layer->pixels + (size_t)y * layer->stride))[x] = pixel;
}

/* Premultiplied. */
static uint32_t any_pixel(uint32_t *seed) {
    const uint32_t a = next(seed) >> 24;
    uint32_t pixel = a << 24;
    for (int shift = 0; shift < 24; shift += 8) pixel |= (next(seed) >> 8) % (a + 1) << shift;
    return pixel;
}

typedef struct {
    double a, r, g, b; /* 0 to 1, premultiplied */
} color;

static color color_at(const sp_picture *layer, int x, int y) {
    const uint32_t p = ((uint32_t *)(void *)(layer->pixels + (size_t)y * layer->stride))[x];
    return (color){(p >> 24) / 255.0, (p >> 16 & 255) / 255.0, (p >> 8 & 255) / 255.0,
                   (p & 255) / 255.0};
}

/* ITU-R BT.709, limited range. */
static double luma_of(color c) { return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b; }

static void assert_square(const sp_picture *layer, const AVFrame *under, const AVFrame *got, int x,
                          int y) {
    color mean = {0, 0, 0, 0};
    for (int i = 0; i < 4; i++) {
        const int px = x + i % 2, py = y + i / 2;
        const color c = color_at(layer, px, py);
        const double was = under->data[0][py * under->linesize[0] + px];
        const double want = was * (1 - c.a) + 16 * c.a + 219 * luma_of(c);
        assert_near(got->data[0][py * got->linesize[0] + px], want, 1.1);
        mean = (color){mean.a + c.a / 4, mean.r + c.r / 4, mean.g + c.g / 4, mean.b + c.b / 4};
    }
    const double luma = luma_of(mean);
    const double added[] = {224 * (mean.b - luma) / 1.8556, 224 * (mean.r - luma) / 1.5748};
    for (int i = 1; i < 3; i++) {
        const size_t at = (size_t)(y / 2 * under->linesize[i] + x / 2);
        const double want = under->data[i][at] * (1 - mean.a) + 128 * mean.a + added[i - 1];
        assert_near(got->data[i][at], want, 1.6);
    }
}

static void assert_blends(const sp_picture *layer, bool some) {
    AVFrame *under = samples_new(7), *got = samples_new(7);
    bool any = false;
    for (int y = 0; y < HEIGHT; y += 2) any = sp_encode_layer_blend_rows(layer, y, got) || any;
    assert_int_equal(any, some);
    for (int y = 0; y < HEIGHT; y += 2)
        for (int x = 0; x < WIDTH; x += 2) assert_square(layer, under, got, x, y);
    av_frame_free(&under);
    av_frame_free(&got);
}

static sp_picture layer_new(void) {
    sp_picture layer;
    assert_true(sp_picture_init(&layer, WIDTH, HEIGHT, NULL));
    return layer;
}

static void nothing_drawn_changes_nothing_and_is_said_to_be_nothing(void **state) {
    (void)state;
    sp_picture layer = layer_new();
    assert_blends(&layer, false);
    sp_picture_clear(&layer);
}

/* At the edges of what is looked at together, where a shortcut would lose it. */
static void a_lone_pixel_is_found_wherever_it_is(void **state) {
    (void)state;
    static const int xs[] = {0, 1, 15, 16, 255, 256, 257, 511, 512, 1023, 1024, 1079, 1080, 1081};
    for (size_t i = 0; i < sizeof xs / sizeof xs[0]; i++)
        for (int y = 0; y < HEIGHT; y++) {
            sp_picture layer = layer_new();
            put(&layer, xs[i], y, i % 2 == 0 ? 0xFF2B91E0u : 0x05000003u);
            assert_blends(&layer, true);
            sp_picture_clear(&layer);
        }
}

static void any_layer_blends_as_the_formulas_say(void **state) {
    (void)state;
    uint32_t seed = 41;
    for (int round = 0; round < 4; round++) {
        sp_picture layer = layer_new();
        for (int y = 0; y < HEIGHT; y++)
            for (int x = 0; x < WIDTH; x++)
                if (round == 0 || (next(&seed) >> 20) % (1u << 3 * round) == 0)
                    put(&layer, x, y, round == 1 ? 0xFFC05A11u : any_pixel(&seed));
        assert_blends(&layer, true);
        sp_picture_clear(&layer);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_drawn_changes_nothing_and_is_said_to_be_nothing),
        cmocka_unit_test(a_lone_pixel_is_found_wherever_it_is),
        cmocka_unit_test(any_layer_blends_as_the_formulas_say),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
