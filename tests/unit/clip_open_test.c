#include <sys/stat.h>

#include "clip_maker.h"
#include "serveplumb/clip.h"

/* One line that names the file and holds the words. */
static void check_refused(const char *path, sp_error_code code, const char *words) {
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, NULL, &error);
    if (clip != NULL) fail_msg("'%s' was opened", path);
    assert_int_equal(error.code, code);
    if (strstr(error.message, words) == NULL)
        fail_msg("got '%s', expected words '%s'", error.message, words);
    if (strstr(error.message, path) == NULL) fail_msg("'%s' does not name the file", error.message);
    assert_null(strchr(error.message, '\n'));
}

static void check_content(const char *name, const void *bytes, size_t length, sp_error_code code,
                          const char *words) {
    char *path = made_path(name);
    made_store(path, bytes, length);
    check_refused(path, code, words);
    made_remove(path);
}

static void what_is_no_file_is_refused(void **state) {
    (void)state;
    check_refused("/nowhere/serve.mp4", SP_ERROR_FILE, "No such file");
    check_refused("/tmp", SP_ERROR_FILE, "folder");
    char *path = made_path("pipe.mp4");
    assert_int_equal(mkfifo(path, 0600), 0);
    check_refused(path, SP_ERROR_FILE, "pipe");
    made_remove(path);
    check_content("empty.mp4", "", 0, SP_ERROR_FORMAT, "empty");
}

static void what_is_no_clip_is_refused_by_its_content(void **state) {
    (void)state;
    static const char text[] = "Serve from the baseline, third set, new racquet.\n";
    static const unsigned char png[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n', 0,   0, 0, 13,
                                        'I',  'H', 'D', 'R', 0,    0,    0,    1,    0,   0, 0, 1,
                                        8,    2,   0,   0,   0,    0x90, 0x77, 0x53, 0xDE};
    static char noise[9001];
    for (size_t i = 0; i < sizeof noise; i++) noise[i] = (char)(i * i * 7 + i / 3);
    check_content("text.mp4", text, strlen(text), SP_ERROR_FORMAT, "not a clip");
    check_content("still.mp4", png, sizeof png, SP_ERROR_FORMAT, "a picture, not a clip");
    check_content("noise.mov", noise, sizeof noise, SP_ERROR_FORMAT, "not a clip");
}

/* Lists name other files, which would then be opened. */
static void a_list_dressed_as_a_clip_is_refused(void **state) {
    (void)state;
    static const char hls[] = "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:10,\n/etc/passwd\n"
                              "#EXT-X-ENDLIST\n";
    static const char concat[] = "ffconcat version 1.0\nfile '/etc/passwd'\n";
    check_content("list.mp4", hls, strlen(hls), SP_ERROR_FORMAT, "points at other files");
    check_content("list.mov", concat, strlen(concat), SP_ERROR_FORMAT, "points at other files");
}

static void sound_alone_is_refused(void **state) {
    (void)state;
    static unsigned char wave[44 + 8000] = "RIFF....WAVEfmt \x10\0\0\0\x01\0\x01\0\x40\x1F\0\0\x80"
                                           "\x3E\0\0\x02\0\x10\0data";
    wave[4] = 0x64, wave[5] = 0x1F, wave[6] = wave[7] = 0;
    wave[40] = 0x40, wave[41] = 0x1F;
    check_content("voice.wav", wave, sizeof wave, SP_ERROR_FORMAT, "WAV");
}

static char *make(const char *name, const made_clip *wanted) {
    char *path = made_path(name);
    made_write(path, wanted);
    return path;
}

static const made_clip plain = {.codec = "mpeg4", .frames = 12, .group = 6};

static void a_recording_broken_off_before_its_table_is_refused(void **state) {
    (void)state;
    char *path = make("cut.mp4", &plain);
    struct stat facts;
    assert_int_equal(stat(path, &facts), 0);
    assert_int_equal(truncate(path, facts.st_size / 2), 0);
    check_refused(path, SP_ERROR_FORMAT, "table of contents (moov) is missing");
    made_remove(path);
}

static void an_encrypted_clip_is_refused(void **state) {
    (void)state;
    const made_clip encrypted = {.codec = "libx264",
                                 .frames = 12,
                                 .group = 6,
                                 .muxer_option = "strict",
                                 .muxer_value = "encryption_scheme=cenc-aes-ctr:"
                                                "encryption_key=76a6c65c5ea762046bd749a2e632ccbb:"
                                                "encryption_kid=a7e61c373e219033c21091fa607bf3b8"};
    char *path = make("locked.mp4", &encrypted);
    check_refused(path, SP_ERROR_FORMAT, "encrypted");
    made_remove(path);
}

static void too_many_streams_are_refused(void **state) {
    (void)state;
    const made_clip crowd = {.codec = "mpeg4", .frames = 3, .group = 6, .more_streams = 32};
    char *path = make("crowd.mkv", &crowd);
    check_refused(path, SP_ERROR_LIMIT, "33 streams");
    made_remove(path);
}

static void a_clip_larger_than_the_limit_is_refused(void **state) {
    (void)state;
    const made_clip jpeg = {.codec = "mjpeg", .frames = 3, .group = 1};
    char *path = make("huge.mov", &jpeg);
    size_t length;
    unsigned char *bytes = (unsigned char *)made_read(path, &length);
    /* JPEG start of frame, ITU-T T.81, B.2.2: FF C0, length, precision, height, width. */
    int changed = 0;
    for (size_t i = 0; i + 9 < length; i++)
        if (bytes[i] == 0xFF && bytes[i + 1] == 0xC0 && bytes[i + 2] == 0 && bytes[i + 3] == 17) {
            bytes[i + 5] = bytes[i + 7] = 0x7F;
            changed++;
        }
    /* The sample entry, ISO/IEC 14496-12, 12.1.3: the size lies 28 bytes behind its name. */
    for (size_t i = 0; i + 32 < length; i++)
        if (memcmp(bytes + i, "jpeg", 4) == 0 && bytes[i + 28] == 0 &&
            bytes[i + 29] == MADE_WIDTH) {
            bytes[i + 28] = bytes[i + 30] = 0x7F;
            changed++;
        }
    assert_true(changed > 1);
    made_store(path, bytes, length);
    free(bytes);
    check_refused(path, SP_ERROR_LIMIT, "larger than is accepted");
    made_remove(path);
}

static void each_allowed_container_is_opened(void **state) {
    (void)state;
    static const struct {
        const char *name, *container;
    } all[] = {{"a.mp4", "mov/mp4"}, {"b.mov", "mov/mp4"}, {"c.mkv", "matroska/webm"},
               {"d.avi", "avi"},     {"e.ts", "mpegts"},   {"f.m4v", "mov/mp4"}};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        char *path = make(all[i].name, &plain);
        sp_error error = {0};
        sp_clip *clip = sp_clip_open(path, NULL, &error);
        if (clip == NULL) fail_msg("%s", error.message);
        assert_string_equal(sp_clip_get_facts(clip)->container, all[i].container);
        assert_int_equal(sp_clip_get_facts(clip)->frames, 12);
        sp_clip_close(clip);
        made_remove(path);
    }
}

static void a_container_that_is_not_allowed_is_refused(void **state) {
    (void)state;
    char *path = make("serve.nut", &plain);
    check_refused(path, SP_ERROR_FORMAT, "NUT");
    made_remove(path);
}

static void nothing_to_close_is_fine(void **state) {
    (void)state;
    sp_clip_close(NULL);
    sp_frame_unref(NULL);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_no_file_is_refused),
        cmocka_unit_test(what_is_no_clip_is_refused_by_its_content),
        cmocka_unit_test(a_list_dressed_as_a_clip_is_refused),
        cmocka_unit_test(sound_alone_is_refused),
        cmocka_unit_test(a_recording_broken_off_before_its_table_is_refused),
        cmocka_unit_test(an_encrypted_clip_is_refused),
        cmocka_unit_test(too_many_streams_are_refused),
        cmocka_unit_test(a_clip_larger_than_the_limit_is_refused),
        cmocka_unit_test(each_allowed_container_is_opened),
        cmocka_unit_test(a_container_that_is_not_allowed_is_refused),
        cmocka_unit_test(nothing_to_close_is_fine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
