#include <math.h>

#include "clip/colour.h"
#include "clip/frame.h"
#include "clip_maker.h"

typedef struct {
    int red, green, blue;
} rgb;

static AVFrame *make_picture(enum AVPixelFormat format, int width, int height) {
    AVFrame *picture = av_frame_alloc();
    picture->format = format;
    picture->width = width;
    picture->height = height;
    assert_true(av_frame_get_buffer(picture, 0) >= 0);
    return picture;
}

/* One colour all over, in the values of an 8-bit picture whatever the depth. */
static AVFrame *make_flat(enum AVPixelFormat format, int width, int height, const int value[3],
                          int depth) {
    AVFrame *picture = make_picture(format, width, height);
    for (int plane = 0; plane < 3; plane++)
        for (int y = 0; y < (plane > 0 ? (height + 1) / 2 : height); y++)
            for (int x = 0; x < (plane > 0 ? (width + 1) / 2 : width); x++) {
                uint8_t *row = picture->data[plane] + y * picture->linesize[plane];
                if (depth == 8) {
                    row[x] = (uint8_t)value[plane];
                } else {
                    ((uint16_t *)(void *)row)[x] = (uint16_t)(value[plane] << (depth - 8));
                }
            }
    return picture;
}

static void convert(const AVFrame *from, int rotation_deg, bool mirrored, sp_picture *to, int width,
                    int height) {
    sp_converter *converter = sp_converter_new(rotation_deg, mirrored);
    sp_error error = {0};
    assert_true(sp_picture_init(to, width, height, NULL));
    if (!sp_converter_run(converter, from, to, &error)) fail_msg("%s", error.message);
    sp_converter_unref(converter);
}

static uint32_t pixel(const sp_picture *picture, int x, int y) {
    uint32_t value;
    memcpy(&value, picture->pixels + (size_t)y * picture->stride + (size_t)x * 4, 4);
    return value;
}

static void check_colour(const sp_picture *picture, rgb expected, const char *what) {
    for (int y = 0; y < picture->height; y++)
        for (int x = 0; x < picture->width; x++) {
            const uint32_t got = pixel(picture, x, y);
            const int red = got >> 16 & 255, green = got >> 8 & 255, blue = got & 255;
            assert_int_equal(got >> 24, 255);
            if (abs(red - expected.red) > 2 || abs(green - expected.green) > 2 ||
                abs(blue - expected.blue) > 2)
                fail_msg("%s: got %d %d %d, expected %d %d %d", what, red, green, blue,
                         expected.red, expected.green, expected.blue);
        }
}

static int clip_8(double value) { return value < 0 ? 0 : value > 255 ? 255 : (int)lround(value); }

/* ITU-R BT.601-7 2.5.1 and BT.709-6 3.2: Kr, Kb; limited range 16..235 and 16..240. */
static rgb by_formula(const int value[3], double kr, double kb, bool full) {
    const double y = full ? value[0] : (value[0] - 16) * 255.0 / 219;
    const double scale = full ? 1 : 255.0 / 224;
    const double cb = (value[1] - 128) * scale, cr = (value[2] - 128) * scale;
    const double red = y + 2 * (1 - kr) * cr, blue = y + 2 * (1 - kb) * cb;
    const double green = (y - kr * red - kb * blue) / (1 - kr - kb);
    return (rgb){clip_8(red), clip_8(green), clip_8(blue)};
}

static void colours_follow_the_matrix_and_the_range(void **state) {
    (void)state;
    static const int values[][3] = {{81, 90, 211}, {143, 61, 70}, {37, 201, 111}, {235, 128, 128}};
    static const struct {
        enum AVColorSpace matrix;
        double kr, kb;
    } matrices[] = {{AVCOL_SPC_SMPTE170M, 0.299, 0.114},
                    {AVCOL_SPC_BT470BG, 0.299, 0.114},
                    {AVCOL_SPC_BT709, 0.2126, 0.0722},
                    {AVCOL_SPC_BT2020_NCL, 0.2627, 0.0593}};
    for (int full = 0; full < 2; full++)
        for (size_t m = 0; m < 4; m++)
            for (size_t v = 0; v < 4; v++)
                for (int depth = 8; depth <= 10; depth += 2) {
                    AVFrame *from =
                        make_flat(depth == 8 ? AV_PIX_FMT_YUV420P : AV_PIX_FMT_YUV420P10LE, 34, 26,
                                  values[v], depth);
                    from->colorspace = matrices[m].matrix;
                    from->color_range = full ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
                    sp_picture to;
                    convert(from, 0, false, &to, 34, 26);
                    check_colour(&to,
                                 by_formula(values[v], matrices[m].kr, matrices[m].kb, full != 0),
                                 av_color_space_name(matrices[m].matrix));
                    sp_picture_clear(&to);
                    av_frame_free(&from);
                }
}

static void a_silent_clip_is_bt601_when_small_and_bt709_from_720_rows(void **state) {
    (void)state;
    static const int value[3] = {110, 84, 171};
    static const struct {
        int height;
        double kr, kb;
    } sizes[] = {{718, 0.299, 0.114}, {720, 0.2126, 0.0722}};
    for (size_t i = 0; i < 2; i++) {
        AVFrame *from = make_flat(AV_PIX_FMT_YUV420P, 64, sizes[i].height, value, 8);
        sp_picture to;
        convert(from, 0, false, &to, 64, sizes[i].height);
        check_colour(&to, by_formula(value, sizes[i].kr, sizes[i].kb, false), "silent clip");
        sp_picture_clear(&to);
        av_frame_free(&from);
    }
}

static void the_old_full_range_formats_are_full_range(void **state) {
    (void)state;
    static const int value[3] = {255, 128, 128};
    AVFrame *from = make_flat(AV_PIX_FMT_YUVJ420P, 32, 16, value, 8);
    sp_picture to;
    convert(from, 0, false, &to, 32, 16);
    check_colour(&to, (rgb){255, 255, 255}, "yuvj420p");
    sp_picture_clear(&to);
    av_frame_free(&from);
}

/* Where stored pixel (x, y) of a w x h picture comes to lie: flipped first, then turned clockwise
 * by quarters, said one quarter at a time. */
static void place(int *x, int *y, int w, int h, int rotation_deg, bool mirrored) {
    if (mirrored) *x = w - 1 - *x;
    for (int turned = 0; turned < rotation_deg; turned += 90) {
        const int kept = *x;
        *x = h - 1 - *y;
        *y = kept;
        const int side = w;
        w = h;
        h = side;
    }
}

static void every_pixel_comes_to_its_place_in_all_eight_orientations(void **state) {
    (void)state;
    enum { W = 37, H = 21 };
    AVFrame *from = make_picture(AV_PIX_FMT_GRAY8, W, H);
    from->color_range = AVCOL_RANGE_JPEG;
    for (int y = 0; y < H; y++)
        for (int x = 0; x < W; x++)
            from->data[0][y * from->linesize[0] + x] = (uint8_t)(x * 5 + y * 37);
    for (int rotation = 0; rotation < 360; rotation += 90)
        for (int mirrored = 0; mirrored < 2; mirrored++) {
            const bool lying = rotation % 180 != 0;
            sp_picture to;
            convert(from, rotation, mirrored != 0, &to, lying ? H : W, lying ? W : H);
            for (int y = 0; y < H; y++)
                for (int x = 0; x < W; x++) {
                    int u = x, v = y;
                    place(&u, &v, W, H, rotation, mirrored != 0);
                    const int got = (int)(pixel(&to, u, v) & 255);
                    const int stored = from->data[0][y * from->linesize[0] + x];
                    if (abs(got - stored) > 1)
                        fail_msg("%d degrees, mirrored %d: pixel %d %d is %d, not %d", rotation,
                                 mirrored, x, y, got, stored);
                }
            sp_picture_clear(&to);
        }
    av_frame_free(&from);
}

/* An edge at a third of the width stays at a third, whatever the size of the copy. */
static void the_size_of_the_copy_sets_the_scaling(void **state) {
    (void)state;
    enum { W = 99, H = 45 };
    AVFrame *from = make_picture(AV_PIX_FMT_GRAY8, W, H);
    from->color_range = AVCOL_RANGE_JPEG;
    for (int y = 0; y < H; y++)
        for (int x = 0; x < W; x++) from->data[0][y * from->linesize[0] + x] = x < W / 3 ? 0 : 255;
    static const int sizes[][2] = {{W, H}, {264, 45}, {50, 23}, {300, 137}, {3, 2}};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        sp_picture to;
        convert(from, 0, false, &to, sizes[i][0], sizes[i][1]);
        double dark = 0;
        for (int x = 0; x < to.width; x++) dark += 1 - (pixel(&to, x, to.height / 2) & 255) / 255.0;
        assert_near(dark / to.width, 1.0 / 3, 0.5 / to.width);
        sp_picture_clear(&to);
    }
    av_frame_free(&from);
}

static void a_see_through_clip_becomes_opaque(void **state) {
    (void)state;
    AVFrame *from = make_picture(AV_PIX_FMT_RGBA, 40, 24);
    for (int y = 0; y < 24; y++)
        for (int x = 0; x < 40; x++) {
            const uint8_t value[4] = {200, 90, 30, 17};
            memcpy(from->data[0] + y * from->linesize[0] + x * 4, value, 4);
        }
    sp_picture to;
    convert(from, 0, false, &to, 40, 24);
    check_colour(&to, (rgb){200, 90, 30}, "rgba");
    sp_picture_clear(&to);
    av_frame_free(&from);
}

static void planes_are_given_only_where_a_renderer_knows_the_colours(void **state) {
    (void)state;
    static const struct {
        enum AVPixelFormat format;
        enum AVColorSpace matrix;
        enum AVColorRange range;
        enum AVColorTransferCharacteristic transfer;
        int expected; /* -1: none */
    } cases[] = {
        {AV_PIX_FMT_YUV420P, AVCOL_SPC_BT709, AVCOL_RANGE_MPEG, AVCOL_TRC_BT709, SP_MATRIX_BT709},
        {AV_PIX_FMT_NV12, AVCOL_SPC_BT709, AVCOL_RANGE_MPEG, AVCOL_TRC_BT709, SP_MATRIX_BT709},
        {AV_PIX_FMT_YUV420P, AVCOL_SPC_SMPTE170M, AVCOL_RANGE_MPEG, 2, SP_MATRIX_BT601},
        {AV_PIX_FMT_YUV420P, AVCOL_SPC_BT470BG, AVCOL_RANGE_JPEG, 2, SP_MATRIX_BT601_FULL},
        {AV_PIX_FMT_YUVJ420P, AVCOL_SPC_BT470BG, 0, 2, SP_MATRIX_BT601_FULL},
        {AV_PIX_FMT_YUV420P, AVCOL_SPC_UNSPECIFIED, 0, 2, SP_MATRIX_BT601},
        {AV_PIX_FMT_YUV420P, AVCOL_SPC_BT709, AVCOL_RANGE_JPEG, 2, -1},
        {AV_PIX_FMT_YUVJ420P, AVCOL_SPC_BT709, AVCOL_RANGE_JPEG, 2, -1},
        {AV_PIX_FMT_YUV420P, AVCOL_SPC_BT2020_NCL, AVCOL_RANGE_MPEG, 2, -1},
        {AV_PIX_FMT_YUV420P, AVCOL_SPC_BT709, 1, AVCOL_TRC_ARIB_STD_B67, -1},
        {AV_PIX_FMT_YUV420P10LE, AVCOL_SPC_BT709, AVCOL_RANGE_MPEG, 2, -1},
        {AV_PIX_FMT_YUV422P, AVCOL_SPC_BT709, AVCOL_RANGE_MPEG, 2, -1},
    };
    sp_converter *converter = sp_converter_new(0, false);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        AVFrame *picture = make_picture(cases[i].format, 48, 32);
        picture->colorspace = cases[i].matrix;
        picture->color_range = cases[i].range;
        picture->color_trc = cases[i].transfer;
        sp_frame *frame = sp_frame_new(picture, 0, converter);
        sp_frame_planes planes;
        const bool given = sp_frame_get_planes(frame, &planes);
        if (given != (cases[i].expected >= 0)) fail_msg("case %zu: given is %d", i, given);
        if (given) {
            assert_int_equal(planes.matrix, cases[i].expected);
            assert_int_equal(planes.interleaved, cases[i].format == AV_PIX_FMT_NV12);
        }
        sp_frame_unref(frame);
        av_frame_free(&picture);
    }
    sp_converter_unref(converter);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(colours_follow_the_matrix_and_the_range),
        cmocka_unit_test(a_silent_clip_is_bt601_when_small_and_bt709_from_720_rows),
        cmocka_unit_test(the_old_full_range_formats_are_full_range),
        cmocka_unit_test(every_pixel_comes_to_its_place_in_all_eight_orientations),
        cmocka_unit_test(the_size_of_the_copy_sets_the_scaling),
        cmocka_unit_test(a_see_through_clip_becomes_opaque),
        cmocka_unit_test(planes_are_given_only_where_a_renderer_knows_the_colours),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
