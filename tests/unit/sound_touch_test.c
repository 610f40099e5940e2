/* The touch of ball and strings in the demo clip, where its generator says that it is heard. */
#include "clip_maker.h"
#include "serveplumb/sound.h"

static const char clip_path[] = "build/demo/serve-side.mp4";
static const char truth_path[] = "build/demo/serve-side.truth.json";

static double truth_of(const char *name) {
    size_t length;
    char *text = made_read(truth_path, &length);
    text[length] = '\0';
    const char *at = strstr(text, name);
    if (at == NULL) fail_msg("%s: no %s", truth_path, name);
    const double value = strtod(at + strlen(name) + 2, NULL);
    free(text);
    return value;
}

static void the_touch_is_the_strongest_onset(void **state) {
    (void)state;
    if (access(clip_path, R_OK) != 0) {
        printf("skipped: %s is not here (make demo-data)\n", clip_path);
        skip();
    }
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(clip_path, NULL, &error);
    assert_non_null(clip);
    sp_sound *sound = sp_sound_open(clip_path, sp_clip_get_facts(clip), NULL, &error);
    assert_non_null(sound);
    sp_onset onsets[5];
    size_t count;
    assert_true(sp_sound_onsets(sound, 0, 10, onsets, 5, &count, &error));
    assert_true(count > 0);
    const double heard = truth_of("\"touch_heard_s\""), made = truth_of("\"touch_s\"");
    printf("# off by %+.2f ms, %.0f dB, %zu onsets\n", (onsets[0].time_s - heard) * 1e3,
           onsets[0].strength_db, count);
    assert_near(onsets[0].time_s, heard, 0.002);
    /* The generator's own way of sound: 343 m/s. */
    const double distance = (heard - made) * 343;
    assert_near(sp_sound_made_at(onsets[0].time_s, distance, 20), made, 0.002);
    sp_sound_close(sound);
    sp_clip_close(clip);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_touch_is_the_strongest_onset),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
