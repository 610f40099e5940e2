/* A click at a known time is found there, whatever container and coder it went through. The clips
 * are made by the ffmpeg command: a burst of 3 kHz in faint noise, beside a test picture. */
#include <math.h>

#include "clip_maker.h"
#include "serveplumb/sound.h"

typedef struct {
    const char *name, *sound, *filter, *before, *after; /* words of the ffmpeg command */
    double start_s; /* how much earlier than frame 0 the sound's own clock begins */
    double tolerance_s;
} click_clip;

/* Seconds on the clock of the sound source. */
static const double click_s = 0.7313;
/* The burst reaches 0.3 of its height in its second sample. */
static const double exactly = 2.0 / SP_SOUND_RATE;

static void make(const click_clip *clip, const char *path) {
    char command[2048];
    snprintf(command, sizeof command,
             "ffmpeg -nostdin -v error -y -f lavfi -i testsrc2=s=64x48:r=30:d=2 %s -f lavfi -i "
             "\"aevalsrc='0.002*(random(0)*2-1)+between(t,%.6f,%.6f)*0.6*sin(2*PI*3000*(t-%.6f))':"
             "s=%s:d=2.2\" -map 0:v -map 1:a %s %s %s %s",
             clip->before, click_s, click_s + 0.008, click_s,
             strstr(clip->sound, "44100") != NULL ? "44100" : "48000", clip->filter, clip->sound,
             clip->after, path);
    if (system(command) != 0) fail_msg("cannot run: %s", command);
}

static sp_sound *open_sound(const char *path, const sp_sound_options *options) {
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, NULL, &error);
    if (clip == NULL) fail_msg("%s", error.message);
    sp_sound *sound = sp_sound_open(path, sp_clip_get_facts(clip), options, &error);
    if (sound == NULL) fail_msg("%s", error.message);
    sp_clip_close(clip);
    return sound;
}

static void check_click(const click_clip *clip) {
    char *path = made_path(clip->name);
    make(clip, path);
    sp_sound *sound = open_sound(path, NULL);
    sp_onset onsets[4];
    size_t count;
    assert_true(sp_sound_onsets(sound, 0, 2, onsets, 4, &count, NULL));
    if (count < 1) fail_msg("%s: no click was found", clip->name);
    const double off = onsets[0].time_s - (click_s - clip->start_s);
    printf("# %s: %+.3f ms, %.0f dB\n", clip->name, off * 1e3, onsets[0].strength_db);
    if (fabs(off) > clip->tolerance_s)
        fail_msg("%s: the click is %.3f ms from its place, %.3f ms allowed", clip->name, off * 1e3,
                 clip->tolerance_s * 1e3);
    assert_true(onsets[0].strength_db > 20);
    sp_sound_close(sound);
    made_remove(path);
}

/* FFmpeg 5.1 writes Opus into Matroska without adding the 6.5 ms of CodecDelay that a reader takes
 * off (RFC 9559, CodecDelay): its clips are early by that, and it is added here. */
#define CODEC_DELAY(offset_s) "-itsoffset " #offset_s
#define VP8 "-c:v libvpx -deadline realtime"
#define X264 "-c:v libx264 -preset ultrafast -bf 2 "

static void a_click_is_found_at_its_time_in_each_container(void **state) {
    (void)state;
    static const click_clip clips[] = {
        {"plain.mov", "-c:a pcm_s16le", "", "", X264, 0, exactly},
        {"plain.mkv", "-c:a pcm_s16le", "", "", X264, 0, 0.0005 + exactly},
        {"slow.mov", "-c:a pcm_s16le -ar 44100", "", "", X264, 0, exactly},
        {"plain.mp4", "-c:a aac -b:a 96k", "", "", X264, 0, 0.002},
        {"slow.mp4", "-c:a aac -ar 44100", "", "", X264, 0, 0.002},
        {"opus.mkv", "-c:a libopus", "", CODEC_DELAY(0.0065), X264, 0, 0.002},
        {"opus.webm", "-c:a libopus", "", CODEC_DELAY(0.0065), VP8, 0, 0.002},
        {"plain.avi", "-c:a pcm_s16le", "", "", "-c:v mpeg4", 0, exactly},
        {"mp3.avi", "-c:a libmp3lame", "", "", "-c:v mpeg4", 0, 0.005},
        {"aac.ts", "-c:a aac", "", "", X264, 0, 0.002},
        {"fragments.mp4", "-c:a aac", "", "", X264 "-movflags frag_keyframe+empty_moov", 0, 0.002},
    };
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) check_click(&clips[i]);
}

static void sound_that_starts_before_or_after_the_picture_keeps_its_relation(void **state) {
    (void)state;
    static const click_clip clips[] = {
        {"late.ts", "-c:a aac", "", "-itsoffset 0.1234", X264, -0.1234, 0.002},
        {"early.ts", "-c:a aac", "", "-itsoffset -0.2117", X264, 0.2117, 0.002},
        {"late.mov", "-c:a pcm_s16le", "", "-itsoffset 0.125", X264, -0.125, 0.0005},
        {"late.mp4", "-c:a aac", "", "-itsoffset 0.25", X264, -0.25, 0.002},
        {"late.mkv", "-c:a libopus", "", CODEC_DELAY(0.1565), X264, -0.15, 0.002},
        /* The picture begins later than the sound: frame 0 is at 0.4 s of both clocks. */
        {"trimmed.mkv", "-c:a libopus", "-vf trim=start=0.4", CODEC_DELAY(0.0065), X264, 0.4,
         0.002},
        {"trimmed.mp4", "-c:a aac", "-vf trim=start=0.4", "", X264, 0.4, 0.002},
    };
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) check_click(&clips[i]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_click_is_found_at_its_time_in_each_container),
        cmocka_unit_test(sound_that_starts_before_or_after_the_picture_keeps_its_relation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
