/* Shrunk pictures beside what libswscale makes of the same by area. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <libswscale/swscale.h>

#include "clip/shrink.h"

/* Whole for every factor, with blocks that are not. */
enum { WIDTH = 1152 + 96, HEIGHT = 96 };

static AVFrame *new_picture(int width, int height) {
    AVFrame *picture = av_frame_alloc();
    assert_non_null(picture);
    picture->width = width;
    picture->height = height;
    picture->format = AV_PIX_FMT_YUV420P;
    assert_true(av_frame_get_buffer(picture, 0) >= 0);
    return picture;
}

static uint8_t wave(int x, int y, int plane) {
    return (uint8_t)lround(131 + 71 * sin(0.0131 * x + plane) + 43 * cos(0.0217 * y - 0.004 * x));
}

static uint8_t noise(int x, int y, int plane) {
    const uint32_t mixed = (uint32_t)(x * 7919 + y * 104729 + plane * 31) * 2654435761u;
    return (uint8_t)(mixed >> 24);
}

static AVFrame *paint(uint8_t (*value)(int, int, int)) {
    AVFrame *picture = new_picture(WIDTH, HEIGHT);
    for (int plane = 0; plane < 3; plane++)
        for (int y = 0; y < HEIGHT >> (plane > 0); y++)
            for (int x = 0; x < WIDTH >> (plane > 0); x++)
                picture->data[plane][y * picture->linesize[plane] + x] = value(x, y, plane);
    return picture;
}

static AVFrame *shrink_by_area(const AVFrame *from, int factor) {
    AVFrame *to = new_picture(WIDTH / factor, HEIGHT / factor);
    struct SwsContext *scaler =
        sws_getContext(WIDTH, HEIGHT, AV_PIX_FMT_YUV420P, to->width, to->height, AV_PIX_FMT_YUV420P,
                       SWS_AREA | SWS_ACCURATE_RND, NULL, NULL, NULL);
    assert_non_null(scaler);
    assert_int_equal(sws_scale(scaler, (const uint8_t *const *)from->data, from->linesize, 0,
                               HEIGHT, to->data, to->linesize),
                     to->height);
    sws_freeContext(scaler);
    return to;
}

/* Of a plane: the largest difference of a value, and how much brighter it is on the whole. */
static void compare(const AVFrame *a, const AVFrame *b, int plane, double *most, double *mean) {
    const int width = a->width >> (plane > 0), height = a->height >> (plane > 0);
    double sum = 0;
    *most = 0;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            const int difference = a->data[plane][y * a->linesize[plane] + x] -
                                   b->data[plane][y * b->linesize[plane] + x];
            *most = fmax(*most, abs(difference));
            sum += difference;
        }
    *mean = sum / width / height;
}

static void check(uint8_t (*value)(int, int, int), double most_wanted) {
    AVFrame *picture = paint(value), *small = av_frame_alloc();
    sp_shrink shrink = {0};
    for (int factor = 2; factor <= SP_SHRINK_MAX; factor = sp_shrink_factor(factor + 1)) {
        assert_true(sp_shrink_run(&shrink, picture, factor, small));
        assert_int_equal(small->width, WIDTH / factor);
        AVFrame *wanted = shrink_by_area(picture, factor);
        for (int plane = 0; plane < 3; plane++) {
            double most, mean;
            compare(small, wanted, plane, &most, &mean);
            if (most > most_wanted || fabs(mean) > 0.75)
                fail_msg("factor %d, plane %d: off by up to %.0f, brighter by %.2f", factor, plane,
                         most, mean);
        }
        av_frame_free(&wanted);
        if (factor == SP_SHRINK_MAX) break;
    }
    sp_shrink_clear(&shrink);
    av_frame_free(&small);
    av_frame_free(&picture);
}

static void a_slope_is_shrunk_to_its_means(void **state) {
    (void)state;
    check(wave, 2);
}

/* The one in the middle of three weighs double: single values differ, brightness does not. */
static void noise_is_shrunk_to_its_brightness(void **state) {
    (void)state;
    check(noise, 80);
}

static void there_is_a_factor_for_every_size(void **state) {
    (void)state;
    const int wanted[][2] = {{-3, 1}, {1, 1}, {2, 2}, {3, 3}, {4, 4}, {5, 6}, {7, 8}, {19, 8}};
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        assert_int_equal(sp_shrink_factor(wanted[i][0]), wanted[i][1]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_slope_is_shrunk_to_its_means),
        cmocka_unit_test(noise_is_shrunk_to_its_brightness),
        cmocka_unit_test(there_is_a_factor_for_every_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
