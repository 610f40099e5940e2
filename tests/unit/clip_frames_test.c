#include "clip_maker.h"
#include "serveplumb/clip.h"

enum { FRAMES = 71, ROOM = 128 };

static const made_clip mpeg4 = {.codec = "mpeg4", .frames = FRAMES, .group = 13, .b_frames = 2};
static const made_clip h264 = {.codec = "libx264", .frames = FRAMES, .group = 13, .b_frames = 2};

typedef struct {
    char *path;
    made_hash hashes[ROOM];
    int count;
} made;

static void make(made *clip, const made_clip *wanted) {
    clip->path = made_path("serve.mp4");
    made_write(clip->path, wanted);
    clip->count = made_decode(clip->path, clip->hashes, ROOM);
    assert_int_equal(clip->count, FRAMES);
}

static sp_clip *open_clip(const char *path, size_t cache_bytes, int threads) {
    const sp_clip_options options = {.cache_bytes = cache_bytes, .threads = threads};
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, &options, &error);
    if (clip == NULL) fail_msg("%s", error.message);
    return clip;
}

static void check_frame(sp_clip *clip, int n, const made *expected) {
    sp_error error = {0};
    sp_frame *frame = sp_clip_frame(clip, n, &error);
    if (frame == NULL) fail_msg("frame %d: %s", n, error.message);
    char hex[33];
    assert_int_equal(sp_frame_number(frame), n);
    assert_false(sp_frame_damaged(frame));
    assert_true(sp_frame_md5(frame, hex, &error));
    if (strcmp(hex, expected->hashes[n].hex) != 0) fail_msg("frame %d is another frame", n);
    sp_frame_unref(frame);
}

static int shuffled(int step) { return step * 29 % FRAMES; } /* 29 and 71 share no factor */

static void check_all_orders(const made_clip *wanted, size_t cache_bytes, int threads) {
    made expected;
    make(&expected, wanted);
    sp_clip *clip = open_clip(expected.path, cache_bytes, threads);
    assert_int_equal(sp_clip_get_facts(clip)->frames, FRAMES);
    for (int n = FRAMES - 1; n >= 0; n--) check_frame(clip, n, &expected);
    for (int i = 0; i < FRAMES; i++) check_frame(clip, shuffled(i), &expected);
    for (int n = 0; n < FRAMES; n++) check_frame(clip, n, &expected);
    for (int n = 1; n < FRAMES; n++) {
        check_frame(clip, n, &expected);
        check_frame(clip, n - 1, &expected);
    }
    sp_clip_close(clip);
    made_remove(expected.path);
}

/* One byte: only the frame asked for last is kept, so that nearly each visit decodes anew. */
static void frames_are_exact_in_every_order_without_a_cache(void **state) {
    (void)state;
    check_all_orders(&mpeg4, 1, 1);
    check_all_orders(&h264, 1, 1);
}

static void frames_are_exact_in_every_order_with_many_threads(void **state) {
    (void)state;
    check_all_orders(&h264, 1, 5);
    check_all_orders(&h264, 250000, 8);
}

static void frames_are_exact_in_every_order_with_a_cache_of_half_a_group(void **state) {
    (void)state;
    check_all_orders(&mpeg4, 7 * MADE_WIDTH * MADE_HEIGHT * 2, 2);
}

static void past_the_last_frame_is_the_end_and_no_failure(void **state) {
    (void)state;
    made expected;
    make(&expected, &mpeg4);
    sp_clip *clip = open_clip(expected.path, 0, 0);
    sp_error error = {0};
    assert_null(sp_clip_frame(clip, FRAMES, &error));
    assert_int_equal(error.code, SP_ERROR_END);
    check_frame(clip, FRAMES - 1, &expected);
    sp_clip_close(clip);
    made_remove(expected.path);
}

static void a_frame_outlives_the_cache_and_the_clip(void **state) {
    (void)state;
    made expected;
    make(&expected, &h264);
    sp_clip *clip = open_clip(expected.path, 1, 3);
    sp_frame *frame = sp_clip_frame(clip, 37, NULL);
    assert_non_null(frame);
    for (int n = 50; n > 3; n -= 5) check_frame(clip, n, &expected);
    sp_clip_close(clip);
    char hex[33];
    sp_picture picture;
    assert_true(sp_frame_md5(frame, hex, NULL));
    assert_string_equal(hex, expected.hashes[37].hex);
    assert_true(sp_picture_init(&picture, MADE_WIDTH, MADE_HEIGHT, NULL));
    assert_true(sp_frame_to_picture(frame, &picture, NULL));
    assert_int_equal(picture.pixels[3], 255);
    sp_picture_clear(&picture);
    sp_frame_unref(frame);
    made_remove(expected.path);
}

static void times_are_those_of_the_clip(void **state) {
    (void)state;
    made expected;
    make(&expected, &mpeg4);
    sp_clip *clip = open_clip(expected.path, 0, 0);
    const double *times = sp_clip_times(clip);
    for (int n = 0; n < FRAMES; n++) assert_near(times[n], (double)n / MADE_RATE, 1e-9);
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    assert_near(facts->rate, MADE_RATE, 1e-9);
    assert_near(facts->duration_s, (double)FRAMES / MADE_RATE, 1e-9);
    assert_false(facts->variable_rate);
    assert_int_equal(facts->step_max_frame, 0);
    sp_clip_close(clip);
    made_remove(expected.path);
}

static void planes_are_those_of_the_stored_picture(void **state) {
    (void)state;
    made expected;
    make(&expected, &h264);
    sp_clip *clip = open_clip(expected.path, 0, 0);
    sp_frame *frame = sp_clip_frame(clip, 5, NULL);
    sp_frame_planes planes;
    assert_true(sp_frame_get_planes(frame, &planes));
    assert_int_equal(planes.width, MADE_WIDTH);
    assert_int_equal(planes.height, MADE_HEIGHT);
    assert_int_equal(planes.matrix, SP_MATRIX_BT601); /* small and silent: common practice */
    assert_false(planes.interleaved);
    static uint8_t packed[MADE_WIDTH * MADE_HEIGHT * 3 / 2];
    uint8_t *to = packed, digest[16];
    for (int i = 0; i < 3; i++)
        for (int y = 0; y < MADE_HEIGHT >> (i > 0); y++, to += MADE_WIDTH >> (i > 0))
            memcpy(to, planes.data[i] + y * planes.stride[i], MADE_WIDTH >> (i > 0));
    char hex[33];
    av_md5_sum(digest, packed, sizeof packed);
    for (int i = 0; i < 16; i++) snprintf(hex + 2 * i, 3, "%02x", digest[i]);
    assert_string_equal(hex, expected.hashes[5].hex);
    sp_frame_unref(frame);
    sp_clip_close(clip);
    made_remove(expected.path);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frames_are_exact_in_every_order_without_a_cache),
        cmocka_unit_test(frames_are_exact_in_every_order_with_many_threads),
        cmocka_unit_test(frames_are_exact_in_every_order_with_a_cache_of_half_a_group),
        cmocka_unit_test(past_the_last_frame_is_the_end_and_no_failure),
        cmocka_unit_test(a_frame_outlives_the_cache_and_the_clip),
        cmocka_unit_test(times_are_those_of_the_clip),
        cmocka_unit_test(planes_are_those_of_the_stored_picture),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
