/* Reading a sound: whole or by windows, its gaps, its shape, and what is refused. */
#include <fcntl.h>
#include <math.h>
#include <signal.h>

#include "clip/sound_stream.h"
#include "clip_maker.h"
#include "serveplumb/sound.h"

static void run(const char *format, ...) __attribute__((format(printf, 1, 2)));

static void run(const char *format, ...) {
    char command[2048];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(command, sizeof command, format, arguments);
    va_end(arguments);
    if (system(command) != 0) fail_msg("cannot run: %s", command);
}

static sp_sound *open_sound(const char *path, const sp_sound_options *options, sp_error *error) {
    sp_clip *clip = sp_clip_open(path, NULL, error);
    if (clip == NULL) fail_msg("%s: %s", path, error->message);
    sp_sound *sound = sp_sound_open(path, sp_clip_get_facts(clip), options, error);
    sp_clip_close(clip);
    return sound;
}

static sp_sound *must_open(const char *path, const sp_sound_options *options) {
    sp_error error = {0};
    sp_sound *sound = open_sound(path, options, &error);
    if (sound == NULL) fail_msg("%s: %s", path, error.message);
    return sound;
}

/* A rising tone in two channels: a sample in a wrong place is a wrong sample. */
static void make(const char *path, const char *coding) {
    run("ffmpeg -nostdin -v error -y -f lavfi -i color=s=32x32:r=10:d=30 -f lavfi -i "
        "\"aevalsrc='0.5*sin(300*t+40*t*t)|0.4*cos(500*t+31*t*t)':s=44100:d=30\" %s %s",
        coding, path);
}

static double power_of(const float *samples, size_t count) {
    double sum = 0;
    for (size_t i = 0; i < count; i++) sum += (double)samples[i] * samples[i];
    return sum / (double)count;
}

static void check_windows(const char *name, const char *coding, double tolerance) {
    char *path = made_path(name);
    make(path, coding);
    sp_sound *whole = must_open(path, NULL);
    sp_sound *parts =
        must_open(path, &(sp_sound_options){.budget_bytes = (size_t)3 * SP_SOUND_RATE * 8});
    assert_true(sp_sound_get_facts(whole)->whole);
    assert_false(sp_sound_get_facts(parts)->whole);
    assert_int_equal(sp_sound_get_facts(parts)->first, sp_sound_get_facts(whole)->first);
    assert_int_equal(sp_sound_get_facts(parts)->end, sp_sound_get_facts(whole)->end);
    enum { COUNT = 5171 };
    static float one[COUNT * 2], other[COUNT * 2];
    double most = 0;
    for (int i = 0; i < 40; i++) {
        const int64_t at = i < 12 ? i * COUNT : (int64_t)i * 7919 * 7919 % (30 * SP_SOUND_RATE);
        assert_true(sp_sound_copy(whole, at, COUNT, one, NULL));
        assert_true(sp_sound_copy(parts, at, COUNT, other, NULL));
        for (int k = 0; k < COUNT * 2; k++) most = fmax(most, fabs((double)one[k] - other[k]));
        if (at < 29 * SP_SOUND_RATE) assert_near(power_of(one, COUNT * 2), 0.1025, 0.01);
    }
    printf("# %s: windows differ by %.2g at most\n", name, most);
    assert_near(most, 0, tolerance);
    sp_sound_close(parts);
    sp_sound_close(whole);
    made_remove(path);
}

static void a_sound_read_by_windows_is_that_read_whole(void **state) {
    (void)state;
    /* Windows begin at a whole sample: a tone of 430 Hz and height 0.5 changes by 0.028 in one.
     * Coders that remember need a moment, and have had it. */
    check_windows("long.mov", "-c:a pcm_s16le -c:v mpeg4", 0.028);
    check_windows("long.mp4", "-c:a aac -b:a 192k -c:v libx264 -preset ultrafast", 0.028);
    check_windows("long.mkv", "-c:a libopus -ar 48000 -b:a 160k -c:v mpeg4", 0.028);
    check_windows("long.ts", "-c:a aac -b:a 192k -c:v libx264 -preset ultrafast", 0.028);
    check_windows("long.avi", "-c:a libmp3lame -b:a 192k -c:v mpeg4", 0.028);
}

/* What was heard from 0.5 s to 1.2 s is left out: its time stays, and is silent. */
static void a_gap_is_silent_and_moves_nothing(void **state) {
    (void)state;
    char *path = made_path("gap.mkv");
    run("ffmpeg -nostdin -v error -y -f lavfi -i color=s=32x32:r=10:d=2 -f lavfi -i "
        "\"aevalsrc='0.5*sin(2*PI*700*t)':s=48000:d=2\" -c:v mpeg4 -c:a pcm_s16le -af "
        "\"aselect='not(between(t,0.5,1.2))'\" %s",
        path);
    sp_sound *sound = must_open(path, NULL);
    assert_int_equal(sp_sound_get_facts(sound)->gaps, 1);
    static float samples[2 * SP_SOUND_RATE];
    assert_true(sp_sound_copy(sound, 0, 2 * SP_SOUND_RATE, samples, NULL));
    assert_near(power_of(samples + 26000, 30000), 0, 1e-12);
    for (int i = 61000; i < 95000; i++)
        assert_near(samples[i], 0.5 * sin(2 * M_PI * 700 * (i - 0.0) / SP_SOUND_RATE), 0.06);
    sp_sound_close(sound);
    made_remove(path);
}

static void the_shape_is_that_of_the_samples(void **state) {
    (void)state;
    char *path = made_path("shape.mov");
    make(path, "-c:a pcm_s16le -c:v mpeg4");
    sp_sound *whole = must_open(path, NULL);
    sp_sound *parts =
        must_open(path, &(sp_sound_options){.budget_bytes = (size_t)3 * SP_SOUND_RATE * 8});
    enum { COUNT = 113 };
    sp_sound_peak fine[COUNT], coarse[COUNT];
    static float samples[SP_SOUND_RATE * 2];
    assert_true(sp_sound_peaks(whole, -0.5, 31, COUNT, fine, NULL));
    assert_true(sp_sound_peaks(parts, -0.5, 31, COUNT, coarse, NULL));
    for (int i = 0; i < COUNT; i++) {
        const int64_t from = sp_sound_at(-0.5 + 31.5 * i / COUNT);
        const size_t count = (size_t)(sp_sound_at(-0.5 + 31.5 * (i + 1) / COUNT) - from);
        assert_true(sp_sound_copy(whole, from, count, samples, NULL));
        double low = 0, high = 0;
        for (size_t k = 0; k < count * 2; k++) {
            low = fmin(low, samples[k]);
            high = fmax(high, samples[k]);
        }
        assert_near(fine[i].low, low, 1e-7);
        assert_near(fine[i].high, high, 1e-7);
        assert_true(coarse[i].low <= fine[i].low && coarse[i].high >= fine[i].high);
        if (i > 2 && i < 107) assert_near(coarse[i].high, high, 0.03);
    }
    sp_sound_close(parts);
    sp_sound_close(whole);
    made_remove(path);
}

static void a_clip_without_sound_says_so(void **state) {
    (void)state;
    char *path = made_path("mute.mp4");
    made_write(path, &(made_clip){.codec = "mpeg4", .frames = 5, .group = 5});
    sp_error error = {0};
    assert_null(open_sound(path, NULL, &error));
    assert_int_equal(error.code, SP_ERROR_FORMAT);
    assert_non_null(strstr(error.message, "holds no sound"));
    made_remove(path);
}

static void opening_can_be_given_up(void **state) {
    (void)state;
    char *path = made_path("given_up.mov");
    make(path, "-c:a pcm_s16le -c:v mpeg4");
    const atomic_bool cancelled = true;
    sp_error error = {0};
    assert_null(open_sound(path, &(sp_sound_options){.cancelled = &cancelled}, &error));
    assert_int_equal(error.code, SP_ERROR_CANCELLED);
    made_remove(path);
}

/* --- out of a process of its own, as all above --- */

/* Started last: of a clip that was closed just now may still be there. */
static long last_child(long process) {
    char path[64];
    long child = 0;
    snprintf(path, sizeof path, "/proc/%ld/task/%ld/children", process, process);
    FILE *file = fopen(path, "r");
    while (file != NULL && fscanf(file, "%ld", &child) == 1) continue;
    if (file != NULL) fclose(file);
    return child;
}

static void sound_out_of_another_process_is_that_decoded_here(void **state) {
    (void)state;
    char *path = made_path("rising.mp4");
    make(path, "-c:a aac -c:v mpeg4");
    sp_sound_stream here, there = {.left = NULL};
    assert_true(sp_stream_open_file(&here, open(path, O_RDONLY), path, 0, NULL));
    assert_true(sp_stream_open(&there, path, 0, NULL));
    assert_true(last_child(last_child(getpid())) > 0);
    sp_sound_block one = {0}, other = {0};
    int64_t samples = 0;
    for (;; samples++) {
        if (one.count == 0 && !sp_stream_next(&here, &one)) break;
        if (other.count == 0) assert_true(sp_stream_next(&there, &other));
        assert_int_equal(one.at, other.at);
        assert_memory_equal(one.samples, other.samples, sizeof(float) * (size_t)here.channels);
        one.at++, one.count--, one.samples += here.channels;
        other.at++, other.count--, other.samples += here.channels;
    }
    assert_int_equal(other.count, 0);
    assert_false(sp_stream_next(&there, &other));
    assert_true(samples > 29 * SP_SOUND_RATE);
    sp_stream_close(&here);
    sp_stream_close(&there);
    made_remove(path);
}

static void a_killed_decoder_of_sound_is_told(void **state) {
    (void)state;
    char *path = made_path("rising.mp4");
    make(path, "-c:a aac -c:v mpeg4");
    sp_sound *parts =
        must_open(path, &(sp_sound_options){.budget_bytes = (size_t)3 * SP_SOUND_RATE * 8});
    assert_int_equal(kill((pid_t)last_child(last_child(getpid())), SIGKILL), 0);
    static float samples[2 * 64];
    sp_error error = {0};
    bool good = true;
    for (int at_s = 0; at_s < 30; at_s += 7)
        good = sp_sound_copy(parts, (int64_t)at_s * SP_SOUND_RATE, 64, samples, &error) && good;
    assert_false(good);
    assert_int_equal(error.code, SP_ERROR_DECODER);
    assert_non_null(strstr(error.message, path));
    sp_sound_close(parts);
    made_remove(path);
}

int main(void) {
    assert_true(sp_decoders_start());
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sound_read_by_windows_is_that_read_whole),
        cmocka_unit_test(a_gap_is_silent_and_moves_nothing),
        cmocka_unit_test(the_shape_is_that_of_the_samples),
        cmocka_unit_test(a_clip_without_sound_says_so),
        cmocka_unit_test(opening_can_be_given_up),
        cmocka_unit_test(sound_out_of_another_process_is_that_decoded_here),
        cmocka_unit_test(a_killed_decoder_of_sound_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
