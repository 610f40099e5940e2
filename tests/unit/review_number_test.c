#include <locale.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "review/json.h"
#include "unit/review_sample.h"
#include "unit/seeded.h"

static void check_number(double value) {
    char text[SP_JSON_NUMBER_SIZE];
    sp_json_number_text(value, text);
    const double back = strtod(text, NULL);
    if (memcmp(&back, &value, sizeof value) != 0) fail_msg("%s is not %a", text, value);
    assert_int_equal(strspn(text, "0123456789+-.e"), strlen(text));
}

static void any_double_reads_back_equal(void **state) {
    (void)state;
    uint64_t seed = 20270314;
    int checked = 0;
    while (checked < 10000) {
        const uint64_t bits = seeded_bits(&seed);
        double value;
        memcpy(&value, &bits, sizeof value);
        if (!isfinite(value)) continue;
        check_number(value);
        checked++;
    }
    check_number(5e-324);
    check_number(1.7976931348623157e308);
    check_number(-0.0);
}

static void a_number_has_no_more_digits_than_it_needs(void **state) {
    (void)state;
    static const struct {
        double value;
        const char *text;
    } numbers[] = {{0.1, "0.1"},
                   {0.1 + 0.2, "0.30000000000000004"},
                   {640.0400000000001, "640.0400000000001"},
                   {1.0 / 3, "0.3333333333333333"},
                   {412, "412"},
                   {-0.5, "-0.5"},
                   {1e21, "1e+21"}};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        char text[SP_JSON_NUMBER_SIZE];
        sp_json_number_text(numbers[i].value, text);
        assert_string_equal(text, numbers[i].text);
    }
}

/* 10,000 coordinates by the whole way: setter, text, reader. */
static void any_point_reads_back_equal(void **state) {
    (void)state;
    char *text = sample_text();
    sp_review *review = parsed(text);
    uint64_t seed = 97531;
    for (int frame = 0; frame < 400; frame++)
        for (unsigned name = 0; name < SP_POINT_COUNT / 2 + 1; name++) {
            const sp_mark mark = {.at = {seeded_between(&seed, -1080, 2160),
                                         seeded_between(&seed, -1920, 3840) / 1e3}};
            assert_true(sp_review_set_mark(review, frame, (sp_point_name)name, &mark, NULL));
        }
    char *written = text_of(review);
    sp_review *again = parsed(written);
    for (int frame = 0; frame < 400; frame++)
        for (unsigned name = 0; name < SP_POINT_COUNT / 2 + 1; name++) {
            sp_mark mark, back;
            assert_true(sp_review_mark(review, frame, (sp_point_name)name, &mark));
            assert_true(sp_review_mark(again, frame, (sp_point_name)name, &back));
            assert_true(mark.at.x == back.at.x && mark.at.y == back.at.y);
        }
    free(text);
    free(written);
    sp_review_free(review);
    sp_review_free(again);
}

static void a_comma_for_a_decimal_point_changes_nothing(void **state) {
    (void)state;
    static const char *const locales[] = {"de_DE.UTF-8", "de_DE.utf8",  "de_DE",      "fr_FR.UTF-8",
                                          "fr_FR.utf8",  "sv_SE.UTF-8", "pt_BR.UTF-8"};
    const char *set = NULL;
    for (size_t i = 0; set == NULL && i < sizeof locales / sizeof *locales; i++)
        set = setlocale(LC_NUMERIC, locales[i]);
    if (set == NULL) {
        print_message("skipped: no locale with a decimal comma is installed\n");
        skip();
    }
    assert_string_equal(localeconv()->decimal_point, ",");
    char *text = sample_text();
    sp_review *review = parsed(text);
    const bool same = sp_review_get_clip(review)->slowdown == 999.0 / 125;
    assert_true(sp_review_set_row_time(review, 0.015625, NULL));
    char *written = text_of(review);
    sp_review_free(parsed(written));
    setlocale(LC_NUMERIC, "C");
    assert_true(same);
    assert_non_null(strstr(written, "\"row_time_s\": 0.015625,"));
    text = replaced(text, "0.0138", "0.015625");
    assert_string_equal(written, text);
    free(text);
    free(written);
    sp_review_free(review);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_double_reads_back_equal),
        cmocka_unit_test(a_number_has_no_more_digits_than_it_needs),
        cmocka_unit_test(any_point_reads_back_equal),
        cmocka_unit_test(a_comma_for_a_decimal_point_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
