/* The file of a voice. Its layout is judged by FFmpeg in tests/command/test_talk.py. */
#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cmocka.h>

#include "near.h"
#include "serveplumb/voice.h"

static char path[] = "/tmp/serveplumb-voice-test.wav";

static sp_voice_writer *begin(void) {
    unlink(path);
    sp_voice_writer *writer = sp_voice_create(path, NULL);
    assert_non_null(writer);
    return writer;
}

static float wave_at(int64_t i) { return (float)(0.71 * sin((double)i * 0.0173)); }

static void add(sp_voice_writer *writer, int64_t from, size_t count) {
    float samples[5000];
    for (size_t i = 0; i < count; i++) samples[i] = wave_at(from + (int64_t)i);
    assert_true(sp_voice_add(writer, samples, count, NULL));
}

static void what_was_flushed_is_a_whole_file_before_it_is_closed(void **state) {
    (void)state;
    sp_voice_writer *writer = begin();
    add(writer, 0, 4801);
    assert_true(sp_voice_flush(writer, NULL));
    sp_voice *voice = sp_voice_open(path, NULL); /* as after a power cut */
    assert_non_null(voice);
    assert_int_equal(sp_voice_count(voice), 4801);
    sp_voice_free(voice);
    add(writer, 4801, 97);
    assert_true(sp_voice_close(writer, NULL));
    voice = sp_voice_open(path, NULL);
    assert_int_equal(sp_voice_count(voice), 4898);
    float samples[300];
    assert_true(sp_voice_copy(voice, 4750, 300, samples, NULL));
    for (int i = 0; i < 148; i++) assert_near(samples[i], wave_at(4750 + i), 2e-5);
    for (int i = 148; i < 300; i++) assert_near(samples[i], 0, 0);
    assert_true(sp_voice_copy(voice, -3, 4, samples, NULL));
    assert_near(samples[2], 0, 0);
    sp_voice_free(voice);
    unlink(path);
}

static void a_take_is_never_written_over(void **state) {
    (void)state;
    assert_true(sp_voice_close(begin(), NULL));
    sp_error error = {0};
    assert_null(sp_voice_create(path, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    unlink(path);
}

static void other_files_are_refused_in_words(void **state) {
    (void)state;
    static const char *const texts[] = {"", "RIFFxxxxWAVE",
                                        "not a wave file at all, but a long line",
                                        "RIFF\0\0\0\0WAVEdata\1\0\0\0"};
    for (size_t i = 0; i < 4; i++) {
        FILE *file = fopen(path, "wb");
        fwrite(texts[i], 1, i == 3 ? 20 : strlen(texts[i]), file);
        fclose(file);
        sp_error error = {0};
        assert_null(sp_voice_open(path, &error));
        assert_non_null(strstr(error.message, "not a voice recorded here"));
    }
    unlink(path);
}

static void a_full_disk_keeps_what_was_flushed(void **state) {
    (void)state;
    struct rlimit before, small = {60000, 60000};
    getrlimit(RLIMIT_FSIZE, &before);
    small.rlim_max = before.rlim_max;
    signal(SIGXFSZ, SIG_IGN);
    sp_voice_writer *writer = begin();
    add(writer, 0, 5000);
    assert_true(sp_voice_flush(writer, NULL));
    setrlimit(RLIMIT_FSIZE, &small);
    sp_error error = {0};
    bool good = true;
    for (int i = 0; i < 20 && good; i++) {
        float samples[5000] = {0};
        good = sp_voice_add(writer, samples, 5000, &error) && sp_voice_flush(writer, &error);
    }
    assert_false(good);
    assert_non_null(strstr(error.message, "what was recorded before is kept"));
    setrlimit(RLIMIT_FSIZE, &before);
    sp_voice_close(writer, NULL);
    sp_voice *voice = sp_voice_open(path, NULL);
    assert_non_null(voice);
    assert_true(sp_voice_count(voice) >= 5000);
    sp_voice_free(voice);
    unlink(path);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_flushed_is_a_whole_file_before_it_is_closed),
        cmocka_unit_test(a_take_is_never_written_over),
        cmocka_unit_test(other_files_are_refused_in_words),
        cmocka_unit_test(a_full_disk_keeps_what_was_flushed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
