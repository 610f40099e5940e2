#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "serveplumb/png.h"

static uint32_t big_endian(const uint8_t *at) {
    return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

/* PNG (ISO/IEC 15948): signature, then IHDR with width, height, depth, colour type. */
static void header_holds(const sp_picture *picture, int color_type) {
    uint8_t *bytes;
    size_t length;
    assert_true(sp_picture_encode_png(picture, &bytes, &length, NULL));
    static const uint8_t signature[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
    assert_true(length > 57);
    assert_memory_equal(bytes, signature, sizeof signature);
    assert_memory_equal(bytes + 12, "IHDR", 4);
    assert_int_equal(big_endian(bytes + 16), picture->width);
    assert_int_equal(big_endian(bytes + 20), picture->height);
    assert_int_equal(bytes[24], 8);
    assert_int_equal(bytes[25], color_type);
    assert_memory_equal(bytes + length - 8, "IEND", 4);
    free(bytes);
}

static void a_png_has_the_size_of_its_picture_and_alpha_only_where_needed(void **state) {
    (void)state;
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 53, 17, NULL));
    header_holds(&picture, 6);
    memset(picture.pixels, 0xFF, picture.stride * 17);
    header_holds(&picture, 2);
    sp_picture_clear(&picture);
}

static void a_png_differs_when_one_pixel_differs(void **state) {
    (void)state;
    sp_picture picture;
    assert_true(sp_picture_init(&picture, 53, 17, NULL));
    memset(picture.pixels, 0xFF, picture.stride * 17);
    uint8_t *before, *after;
    size_t before_length, after_length;
    assert_true(sp_picture_encode_png(&picture, &before, &before_length, NULL));
    picture.pixels[16 * picture.stride + 52 * 4 + 1] = 0x12;
    assert_true(sp_picture_encode_png(&picture, &after, &after_length, NULL));
    assert_false(before_length == after_length && memcmp(before, after, after_length) == 0);
    free(before);
    free(after);
    sp_picture_clear(&picture);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_png_has_the_size_of_its_picture_and_alpha_only_where_needed),
        cmocka_unit_test(a_png_differs_when_one_pixel_differs),
    };
    return cmocka_run_group_tests_name("draw: png", tests, NULL, NULL);
}
