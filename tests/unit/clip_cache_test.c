#include "clip/cache.h"
#include "clip_maker.h"

enum { FRAMES = 23 };

static sp_frame *make_frame(int number, int width) {
    AVFrame *picture = av_frame_alloc();
    picture->format = AV_PIX_FMT_GRAY8;
    picture->width = width;
    picture->height = 64;
    assert_true(av_frame_get_buffer(picture, 0) >= 0);
    memset(picture->data[0], number, 64);
    sp_converter *converter = sp_converter_new(0, false);
    sp_frame *frame = sp_frame_new(picture, number, converter);
    assert_non_null(frame);
    sp_converter_unref(converter);
    av_frame_free(&picture);
    return frame;
}

static size_t put(sp_cache *cache, int number, int width) {
    sp_frame *frame = make_frame(number, width);
    const size_t bytes = sp_frame_bytes(frame);
    sp_cache_put(cache, frame);
    sp_frame_unref(frame);
    return bytes;
}

static size_t size_of_one(void) {
    sp_frame *frame = make_frame(0, 640);
    const size_t bytes = sp_frame_bytes(frame);
    sp_frame_unref(frame);
    return bytes;
}

static void a_frame_counts_at_least_its_pixels(void **state) {
    (void)state;
    assert_true(size_of_one() >= 640 * 64);
}

static void bytes_stay_within_the_budget(void **state) {
    (void)state;
    const size_t one = size_of_one();
    sp_cache cache;
    assert_true(sp_cache_init(&cache, 4 * one + one / 2));
    for (int n = 0; n < FRAMES; n++) {
        put(&cache, n, 640);
        assert_true(cache.bytes <= cache.budget);
    }
    int kept = 0;
    for (int n = 0; n < FRAMES; n++) kept += sp_cache_has(&cache, n);
    assert_int_equal(kept, 4);
    assert_int_equal(cache.bytes, 4 * one);
    sp_cache_clear(&cache);
}

static void the_frame_farthest_from_the_person_goes_first(void **state) {
    (void)state;
    sp_cache cache;
    assert_true(sp_cache_init(&cache, 3 * size_of_one()));
    sp_cache_move(&cache, 9, 0);
    for (int n = 4; n < 7; n++) put(&cache, n, 640);
    put(&cache, 13, 640);
    assert_false(sp_cache_has(&cache, 4));
    put(&cache, 15, 640);
    assert_false(sp_cache_has(&cache, 15));
    assert_true(sp_cache_has(&cache, 5) && sp_cache_has(&cache, 6) && sp_cache_has(&cache, 13));
    sp_cache_clear(&cache);
}

static void what_lies_behind_goes_before_what_lies_ahead(void **state) {
    (void)state;
    sp_cache cache;
    assert_true(sp_cache_init(&cache, 2 * size_of_one()));
    sp_cache_move(&cache, 10, -1);
    put(&cache, 3, 640);
    put(&cache, 12, 640);
    put(&cache, 4, 640);
    assert_false(sp_cache_has(&cache, 12));
    sp_cache_move(&cache, 4, 1);
    put(&cache, 6, 640);
    assert_false(sp_cache_has(&cache, 3));
    sp_cache_clear(&cache);
}

static void a_group_larger_than_the_budget_keeps_its_end_when_going_backward(void **state) {
    (void)state;
    sp_cache cache;
    assert_true(sp_cache_init(&cache, 7 * size_of_one()));
    sp_cache_step(&cache, 22);
    sp_cache_step(&cache, 21);
    for (int n = 0; n < 22; n++) put(&cache, n, 640);
    assert_int_equal(sp_cache_span(&cache, 21, -1), 7);
    assert_int_equal(sp_cache_span(&cache, 15, 1), 7);
    assert_int_equal(sp_cache_span(&cache, 14, 1), 0);
    sp_cache_clear(&cache);
}

static void a_frame_larger_than_the_budget_is_kept_alone(void **state) {
    (void)state;
    sp_cache cache;
    assert_true(sp_cache_init(&cache, 3 * size_of_one()));
    put(&cache, 3, 640);
    sp_cache_step(&cache, 8);
    put(&cache, 8, 4096);
    assert_false(sp_cache_has(&cache, 3));
    assert_true(sp_cache_has(&cache, 8));
    sp_cache_step(&cache, 9);
    put(&cache, 9, 640);
    assert_false(sp_cache_has(&cache, 8));
    sp_cache_clear(&cache);
}

static void a_frame_put_again_is_counted_once(void **state) {
    (void)state;
    sp_cache cache;
    assert_true(sp_cache_init(&cache, 9 * size_of_one()));
    put(&cache, 11, 640);
    const size_t one = put(&cache, 11, 640);
    assert_int_equal(cache.bytes, one);
    sp_cache_empty(&cache);
    assert_int_equal(cache.bytes, 0);
    assert_false(sp_cache_has(&cache, 11));
    sp_cache_clear(&cache);
}

static void a_frame_in_use_outlives_its_place(void **state) {
    (void)state;
    sp_cache cache;
    assert_true(sp_cache_init(&cache, 1));
    put(&cache, 7, 640);
    sp_frame *frame = sp_cache_get(&cache, 7);
    sp_cache_step(&cache, 8);
    put(&cache, 8, 640);
    assert_false(sp_cache_has(&cache, 7));
    sp_cache_clear(&cache);
    assert_int_equal(sp_frame_number(frame), 7);
    assert_int_equal(frame->picture->data[0][63], 7);
    sp_frame_unref(frame);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_frame_counts_at_least_its_pixels),
        cmocka_unit_test(bytes_stay_within_the_budget),
        cmocka_unit_test(the_frame_farthest_from_the_person_goes_first),
        cmocka_unit_test(what_lies_behind_goes_before_what_lies_ahead),
        cmocka_unit_test(a_group_larger_than_the_budget_keeps_its_end_when_going_backward),
        cmocka_unit_test(a_frame_larger_than_the_budget_is_kept_alone),
        cmocka_unit_test(a_frame_put_again_is_counted_once),
        cmocka_unit_test(a_frame_in_use_outlives_its_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
