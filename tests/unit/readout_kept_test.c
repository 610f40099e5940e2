/* A readout that was kept is the readout that it was, or none. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "filmed.h"

static char *json_of(const sp_readout *readout, const filmed *f) {
    char *json = sp_readout_detach_json(readout, f->review, "r", NULL);
    assert_non_null(json);
    return json;
}

static void assert_kept_whole(film how) {
    filmed f = filmed_serve(how);
    sp_readout *readout = filmed_read(&f, 300, 0);
    size_t length;
    char *bytes = sp_readout_detach_kept(readout, &length, NULL);
    assert_non_null(bytes);
    sp_readout *again = sp_readout_new_kept(bytes, length, NULL);
    assert_non_null(again);
    char *one = json_of(readout, &f), *other = json_of(again, &f);
    assert_string_equal(one, other); /* numbers to the last bit, notes, scales, cautions */
    for (size_t i = 0; i < sp_readout_caution_count(readout); i++)
        assert_int_equal(sp_readout_caution_of(readout, i), sp_readout_caution_of(again, i));
    assert_int_equal(sp_readout_pair_count(readout), sp_readout_pair_count(again));
    free(one);
    free(other);
    free(bytes);
    sp_readout_free(again);
    sp_readout_free(readout);
    filmed_free(&f);
}

static void what_is_kept_comes_back_as_it_was(void **state) {
    (void)state;
    assert_kept_whole((film){.view = SP_VIEW_SIDE});
    assert_kept_whole((film){.view = SP_VIEW_BACK, .left_handed = true, .tilt_deg = 2.3});
    assert_kept_whole((film){.view = SP_VIEW_SIDE, .rate = 30});
}

static void cut_bytes_are_no_readout(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *readout = filmed_read(&f, 20, 0);
    size_t length;
    char *bytes = sp_readout_detach_kept(readout, &length, NULL);
    for (size_t cut = 0; cut < length; cut += cut < 200 ? 1 : 37) {
        sp_error error = {0};
        char *part = malloc(cut + 1); /* so that a read beyond its end is told */
        memcpy(part, bytes, cut);
        assert_null(sp_readout_new_kept(part, cut, &error));
        assert_int_equal(error.code, SP_ERROR_FORMAT);
        free(part);
    }
    free(bytes);
    sp_readout_free(readout);
    filmed_free(&f);
}

static void changed_bytes_are_no_readout(void **state) {
    (void)state;
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    sp_readout *readout = filmed_read(&f, 20, 0);
    size_t length;
    char *bytes = sp_readout_detach_kept(readout, &length, NULL);
    for (size_t i = 0; i < length; i += 13) {
        bytes[i] = (char)(bytes[i] ^ 0xA5);
        assert_null(sp_readout_new_kept(bytes, length, NULL));
        bytes[i] = (char)(bytes[i] ^ 0xA5);
    }
    sp_readout_free(sp_readout_new_kept(bytes, length, NULL));
    free(bytes);
    sp_readout_free(readout);
    filmed_free(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_kept_comes_back_as_it_was),
        cmocka_unit_test(cut_bytes_are_no_readout),
        cmocka_unit_test(changed_bytes_are_no_readout),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
