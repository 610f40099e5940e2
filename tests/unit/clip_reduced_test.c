/* Reduced pictures, kept as they are where all of them fit, else as JPEG. */
#include <math.h>

#include "clip/frame.h"
#include "clip/reduced.h"
#include "clip_maker.h"
#include "serveplumb/frame_service.h"

enum { WIDTH = 1286, HEIGHT = 718, COUNT = 5 };

/* Slopes, of another height for each frame: what is smaller is near the mean of what it stands for.
 */
static sp_frame *make_frame(sp_converter *converter, int n) {
    AVFrame *picture = av_frame_alloc();
    picture->format = AV_PIX_FMT_YUV420P;
    picture->width = WIDTH;
    picture->height = HEIGHT;
    assert_true(av_frame_get_buffer(picture, 0) >= 0);
    for (int plane = 0; plane < 3; plane++) {
        const int shift = plane > 0;
        for (int y = 0; y < (HEIGHT + shift) >> shift; y++)
            for (int x = 0; x < (WIDTH + shift) >> shift; x++)
                picture->data[plane][y * picture->linesize[plane] + x] =
                    (uint8_t)(30 + 17 * n + (x + 2 * y) * (1 + shift) / 23 + 9 * plane);
    }
    sp_frame *frame = sp_frame_new(picture, n, converter);
    av_frame_free(&picture);
    return frame;
}

static double largest_error(const sp_frame *small, const sp_frame *frame) {
    double most = 0;
    const AVFrame *a = small->picture, *b = frame->picture;
    for (int y = 0; y < a->height; y++)
        for (int x = 0; x < a->width; x++) {
            const int wanted = b->data[0][2 * y * b->linesize[0] + 2 * x];
            most = fmax(most, abs(a->data[0][y * a->linesize[0] + x] - wanted));
        }
    return most;
}

static void check(size_t budget, double tolerance, size_t least, size_t most) {
    sp_converter *converter = sp_converter_new(0, false);
    sp_frame *frames[COUNT];
    for (int n = 0; n < COUNT; n++) frames[n] = make_frame(converter, n);
    sp_reduced *reduced = sp_reduced_new(COUNT, budget, frames[0]);
    assert_non_null(reduced);
    for (int n = COUNT - 1; n >= 0; n--) assert_true(sp_reduced_put(reduced, frames[n]));
    assert_int_equal(sp_reduced_missing(reduced, 0), -1);
    int count = 0;
    size_t bytes = 0;
    sp_reduced_measure(reduced, &count, &bytes);
    assert_int_equal(count, COUNT);
    assert_in_range(bytes, least, most);
    sp_frame *small[COUNT];
    for (int n = 0; n < COUNT; n++) small[n] = sp_reduced_get(reduced, n);
    sp_reduced_free(reduced); /* what was given stays */
    for (int n = 0; n < COUNT; n++) {
        assert_non_null(small[n]);
        assert_true(sp_frame_is_reduced(small[n]));
        assert_int_equal(sp_frame_number(small[n]), n);
        assert_int_equal(small[n]->picture->width, WIDTH / 2);
        const double error = largest_error(small[n], frames[n]);
        if (error > tolerance) fail_msg("frame %d differs by %.0f", n, error);
        sp_frame_unref(small[n]);
        sp_frame_unref(frames[n]);
    }
    sp_converter_unref(converter);
}

static void pictures_that_fit_are_kept_as_they_are(void **state) {
    (void)state;
    const size_t planes = (size_t)(WIDTH / 2) * ((HEIGHT + 1) / 2) * 3 / 2 * COUNT;
    check(planes + planes / 10, 2, planes - planes / 50, planes + planes / 50);
}

static void pictures_that_do_not_fit_are_kept_as_jpeg(void **state) {
    (void)state;
    const size_t planes = (size_t)(WIDTH / 2) * ((HEIGHT + 1) / 2) * 3 / 2 * COUNT;
    check(planes * 9 / 10, 7, 1000, planes / 4);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pictures_that_fit_are_kept_as_they_are),
        cmocka_unit_test(pictures_that_do_not_fit_are_kept_as_jpeg),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
