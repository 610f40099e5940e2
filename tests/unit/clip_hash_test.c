#include "clip_maker.h"
#include "serveplumb/clip.h"

/* FIPS 180-2, appendix B.1 to B.3. */
static void the_published_messages_have_the_published_sha256(void **state) {
    (void)state;
    static char million[1000000];
    memset(million, 'a', sizeof million);
    const struct {
        const char *message;
        size_t length;
        const char *hex;
    } published[] = {
        {"abc", 3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
        {"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", 56,
         "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
        {million, sizeof million,
         "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"},
    };
    for (size_t i = 0; i < sizeof published / sizeof *published; i++) {
        char *path = made_path("message");
        char hex[65];
        made_store(path, published[i].message, published[i].length);
        assert_true(sp_file_sha256(path, hex, NULL));
        assert_string_equal(hex, published[i].hex);
        made_remove(path);
    }
}

static void a_missing_file_has_no_sha256_and_says_so(void **state) {
    (void)state;
    sp_error error = {0};
    char hex[65];
    assert_false(sp_file_sha256("/nowhere/serve.mp4", hex, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_non_null(strstr(error.message, "/nowhere/serve.mp4"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_messages_have_the_published_sha256),
        cmocka_unit_test(a_missing_file_has_no_sha256_and_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
