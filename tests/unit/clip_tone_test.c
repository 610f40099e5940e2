/* High range and wide primaries, to sRGB. */
#include <math.h>

#include "clip/frame.h"
#include "clip/tone.h"
#include "clip/transfer.h"
#include "clip_maker.h"

static const sp_tone_kind kinds[] = {
    {SP_RANGE_STANDARD, SP_GAMUT_BT2020}, {SP_RANGE_STANDARD, SP_GAMUT_P3},
    {SP_RANGE_HLG, SP_GAMUT_BT2020},      {SP_RANGE_HLG, SP_GAMUT_BT709},
    {SP_RANGE_PQ, SP_GAMUT_BT2020},       {SP_RANGE_PQ, SP_GAMUT_P3}};
enum { KINDS = sizeof kinds / sizeof *kinds };

/* ITU-R BT.2408, tables 1 and 2: reference levels of a display of 1000 cd/m2. */
static void reference_levels_give_the_light_that_they_are_named_for(void **state) {
    (void)state;
    assert_near(sp_pq_to_light(1), 10000, 1e-6);
    assert_near(sp_pq_from_light(1000), 0.7518, 5e-5);
    assert_near(sp_pq_from_light(100), 0.5081, 5e-5);
    assert_near(sp_pq_from_light(203), 0.58, 0.002);
    assert_near(sp_pq_from_light(26), 0.38, 0.005); /* grey card */
    const double levels[][2] = {{0.75, 203}, {0.38, 26}, {1, 1000}};
    for (size_t i = 0; i < 3; i++) {
        const double e = sp_hlg_to_scene(levels[i][0]), scene[3] = {e, e, e};
        double light[3];
        sp_hlg_to_display(scene, light);
        assert_near(light[1], levels[i][1], levels[i][1] * 0.015);
    }
    assert_near(sp_hlg_to_scene(0.5), 1.0 / 12, 1e-12);
}

/* ITU-R BT.2087-0, the matrix of 4.2; Display P3 from memory of its published matrix. */
static void primaries_change_by_the_published_matrices(void **state) {
    (void)state;
    static const double bt2020[9] = {1.6605,  -0.5876, -0.0728, -0.1246, 1.1329,
                                     -0.0083, -0.0182, -0.1006, 1.1187};
    static const double p3[9] = {1.2249, -0.2249, 0, -0.0420, 1.0420, 0, -0.0197, -0.0786, 1.0984};
    double matrix[3][3];
    sp_primaries_matrix(&sp_primaries_bt2020, &sp_primaries_bt709, matrix);
    for (int i = 0; i < 9; i++) assert_near(matrix[i / 3][i % 3], bt2020[i], 1.5e-4);
    sp_primaries_matrix(&sp_primaries_p3, &sp_primaries_bt709, matrix);
    for (int i = 0; i < 9; i++) assert_near(matrix[i / 3][i % 3], p3[i], 1.5e-4);
}

static void the_bend_keeps_shadows_and_brings_the_peak_to_white(void **state) {
    (void)state;
    assert_near(sp_tone_bend(0), 0, 1e-9);
    assert_near(sp_tone_bend(61.3), 61.3, 1e-9);
    assert_near(sp_tone_bend(SP_TONE_PEAK_CD_M2), SP_TONE_WHITE_CD_M2, 1e-6);
    assert_near(sp_tone_bend(4321), SP_TONE_WHITE_CD_M2, 1e-6);
    double before = 0;
    for (double light = 0.7; light < 1000; light *= 1.03) {
        const double bent = sp_tone_bend(light);
        assert_true(bent > before && bent <= light + 1e-9);
        before = bent;
    }
}

static void greys_stay_grey_and_grow(void **state) {
    (void)state;
    for (size_t k = 0; k < KINDS; k++) {
        double before = -1;
        for (int i = 0; i <= 1000; i += 8) {
            const double grey[3] = {i / 1000.0, i / 1000.0, i / 1000.0};
            double srgb[3];
            sp_tone_exactly(kinds[k], grey, srgb);
            assert_near(srgb[0], srgb[1], 5e-4);
            assert_near(srgb[2], srgb[1], 5e-4);
            assert_true(srgb[1] >= before - 1e-12);
            before = srgb[1];
            if (kinds[k].range == SP_RANGE_STANDARD) assert_near(srgb[1], grey[1], 5e-4);
        }
        assert_near(before, 1, 1e-3);
    }
}

/* Of a grey card and a white shirt in good light, what a camera of standard range would store:
 * about 104 and 235 (BT.709, 18 % and 90 %). Washed out they are 97 and 191, and the card of PQ
 * too. */
static void a_picture_of_high_range_is_about_as_bright_as_another(void **state) {
    (void)state;
    static const struct {
        sp_tone_kind kind;
        double signal, least, most;
    } cases[] = {{{SP_RANGE_HLG, SP_GAMUT_BT2020}, 0.38, 95, 110},
                 {{SP_RANGE_HLG, SP_GAMUT_BT2020}, 0.75, 220, 240},
                 {{SP_RANGE_PQ, SP_GAMUT_BT2020}, 0.38, 95, 110},
                 {{SP_RANGE_PQ, SP_GAMUT_BT2020}, 0.58, 220, 240}};
    for (size_t i = 0; i < 4; i++) {
        const double grey[3] = {cases[i].signal, cases[i].signal, cases[i].signal};
        double srgb[3];
        sp_tone_exactly(cases[i].kind, grey, srgb);
        assert_true(srgb[1] * 255 >= cases[i].least && srgb[1] * 255 <= cases[i].most);
    }
}

typedef struct {
    int worst, over; /* levels; components that are off by more than one */
} deviation;

static deviation deviation_of(sp_tone_kind kind, int count) {
    sp_tone *tone = sp_tone_new(kind);
    deviation found = {0};
    uint32_t dice = 977;
    for (int i = 0; i < count; i++) {
        uint16_t from[3];
        double signal[3], srgb[3];
        for (int k = 0; k < 3; k++) {
            dice = dice * 1664525u + 1013904223u;
            from[k] = (uint16_t)(i < 8 ? (uint32_t)(i >> k & 1) * 65535 : dice >> 16);
            signal[k] = from[k] / 65535.0;
        }
        uint32_t pixel;
        sp_tone_row(tone, from, 65535, &pixel, 1);
        sp_tone_exactly(kind, signal, srgb);
        assert_int_equal(pixel >> 24, 255);
        for (int k = 0; k < 3; k++) {
            const int got = (int)(pixel >> (16 - 8 * k) & 255);
            const int off = abs(got - (int)lround(srgb[k] * 255));
            if (off > found.worst) found.worst = off;
            if (off > 1) found.over++;
        }
    }
    sp_tone_free(tone);
    return found;
}

static void the_table_is_the_formula(void **state) {
    (void)state;
    enum { COUNT = 20000 };
    for (size_t k = 0; k < KINDS; k++) {
        const deviation found = deviation_of(kinds[k], COUNT);
        printf("# range %d, primaries %d: %d levels off at most, %.2f %% by more than one\n",
               (int)kinds[k].range, (int)kinds[k].gamut, found.worst,
               100.0 * found.over / (3.0 * COUNT));
        assert_true(found.worst <= 4 && found.over < COUNT / 1000);
    }
}

static AVFrame *flat(enum AVColorPrimaries primaries, enum AVColorTransferCharacteristic transfer,
                     enum AVColorRange range, const int value[3]) {
    AVFrame *picture = av_frame_alloc();
    picture->format = AV_PIX_FMT_YUV420P10LE;
    picture->width = 52;
    picture->height = 36;
    picture->color_primaries = primaries;
    picture->color_trc = transfer;
    picture->color_range = range;
    picture->colorspace = AVCOL_SPC_BT2020_NCL;
    assert_true(av_frame_get_buffer(picture, 0) >= 0);
    for (int plane = 0; plane < 3; plane++)
        for (int y = 0; y < (plane > 0 ? 18 : 36); y++)
            for (int x = 0; x < (plane > 0 ? 26 : 52); x++)
                ((uint16_t *)(void *)(picture->data[plane] + y * picture->linesize[plane]))[x] =
                    (uint16_t)value[plane];
    return picture;
}

/* ITU-R BT.2020-2, tables 4 and 5: Kr, Kb; 64..940 and 64..960, or all of the 10 bits. */
static void signal_of(const int value[3], bool full, double signal[3]) {
    const double kr = 0.2627, kb = 0.0593;
    const double y = full ? value[0] / 1023.0 : (value[0] - 64) / 876.0;
    const double scale = full ? 1023.0 : 896.0;
    signal[0] = y + 2 * (1 - kr) * (value[2] - 512) / scale;
    signal[2] = y + 2 * (1 - kb) * (value[1] - 512) / scale;
    signal[1] = (y - kr * signal[0] - kb * signal[2]) / (1 - kr - kb);
    for (int i = 0; i < 3; i++) signal[i] = fmin(fmax(signal[i], 0), 1);
}

static void check_through_converter(sp_tone_kind kind, enum AVColorPrimaries primaries,
                                    enum AVColorTransferCharacteristic transfer, bool full,
                                    const int value[3]) {
    AVFrame *from = flat(primaries, transfer, full ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG, value);
    sp_converter *converter = sp_converter_new(90, false);
    sp_picture to;
    double signal[3], srgb[3];
    assert_true(sp_picture_init(&to, 36, 52, NULL));
    assert_true(sp_converter_run(converter, from, &to, NULL));
    signal_of(value, full, signal);
    sp_tone_exactly(kind, signal, srgb);
    for (int y = 0; y < 52; y++)
        for (int x = 0; x < 36; x++)
            for (int k = 0; k < 3; k++) {
                uint32_t pixel;
                memcpy(&pixel, to.pixels + (size_t)y * to.stride + (size_t)x * 4, 4);
                assert_near((double)(pixel >> (16 - 8 * k) & 255), srgb[k] * 255, 1.6);
            }
    sp_picture_clear(&to);
    sp_converter_unref(converter);
    av_frame_free(&from);
}

static void pictures_are_mapped_by_what_they_say_they_are(void **state) {
    (void)state;
    static const int values[][3] = {{377, 512, 512}, {721, 512, 512}, {502, 431, 613},
                                    {611, 377, 541}, {290, 571, 455}, {871, 489, 530}};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        for (int full = 0; full < 2; full++) {
            check_through_converter((sp_tone_kind){SP_RANGE_HLG, SP_GAMUT_BT2020}, AVCOL_PRI_BT2020,
                                    AVCOL_TRC_ARIB_STD_B67, full != 0, values[i]);
            check_through_converter((sp_tone_kind){SP_RANGE_PQ, SP_GAMUT_BT2020},
                                    AVCOL_PRI_UNSPECIFIED, AVCOL_TRC_SMPTE2084, full != 0,
                                    values[i]);
            check_through_converter((sp_tone_kind){SP_RANGE_STANDARD, SP_GAMUT_BT2020},
                                    AVCOL_PRI_BT2020, AVCOL_TRC_BT2020_10, full != 0, values[i]);
            check_through_converter((sp_tone_kind){SP_RANGE_STANDARD, SP_GAMUT_P3},
                                    AVCOL_PRI_SMPTE432, AVCOL_TRC_BT709, full != 0, values[i]);
        }
}

static void what_is_unsaid_or_ordinary_is_shown_as_it_is(void **state) {
    (void)state;
    static const enum AVColorPrimaries plain[] = {AVCOL_PRI_UNSPECIFIED, AVCOL_PRI_BT709,
                                                  AVCOL_PRI_SMPTE170M, AVCOL_PRI_BT470BG};
    AVFrame *picture = av_frame_alloc();
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        picture->color_primaries = plain[i];
        picture->color_trc = i % 2 == 0 ? AVCOL_TRC_UNSPECIFIED : AVCOL_TRC_BT709;
        assert_true(sp_tone_is_plain(sp_tone_kind_of(picture)));
    }
    picture->color_trc = AVCOL_TRC_SMPTE2084;
    assert_false(sp_tone_is_plain(sp_tone_kind_of(picture)));
    av_frame_free(&picture);
}

/* A renderer takes planes by their matrix alone, and would show the colours of P3 too pale. */
static void planes_of_wide_primaries_are_not_given(void **state) {
    (void)state;
    sp_converter *converter = sp_converter_new(0, false);
    for (int wide = 0; wide < 2; wide++) {
        AVFrame *picture = av_frame_alloc();
        picture->format = AV_PIX_FMT_YUV420P;
        picture->width = 32;
        picture->height = 16;
        picture->colorspace = AVCOL_SPC_BT709;
        picture->color_primaries = wide ? AVCOL_PRI_SMPTE432 : AVCOL_PRI_BT709;
        assert_true(av_frame_get_buffer(picture, 0) >= 0);
        sp_frame *frame = sp_frame_new(picture, 0, converter);
        sp_frame_planes planes;
        assert_int_equal(sp_frame_get_planes(frame, &planes), !wide);
        sp_frame_unref(frame);
        av_frame_free(&picture);
    }
    sp_converter_unref(converter);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reference_levels_give_the_light_that_they_are_named_for),
        cmocka_unit_test(primaries_change_by_the_published_matrices),
        cmocka_unit_test(the_bend_keeps_shadows_and_brings_the_peak_to_white),
        cmocka_unit_test(greys_stay_grey_and_grow),
        cmocka_unit_test(a_picture_of_high_range_is_about_as_bright_as_another),
        cmocka_unit_test(the_table_is_the_formula),
        cmocka_unit_test(pictures_are_mapped_by_what_they_say_they_are),
        cmocka_unit_test(what_is_unsaid_or_ordinary_is_shown_as_it_is),
        cmocka_unit_test(planes_of_wide_primaries_are_not_given),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
