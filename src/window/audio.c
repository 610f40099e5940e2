#include "window/audio.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "window/state.h"

/* Loudness is kept in steps of so long. */
#define WAVE_STEP_S 0.004
/* The device has so much to play: longer than a frame lasts at the slowest. */
#define AHEAD_S 1.5

/* Shared with the thread that reads; it alone writes, until `done`. */
struct audio_reading {
    SDL_Thread *thread;
    atomic_bool cancelled, done;
    char path[PATH_MAX];
    sp_clip_facts facts;
    sp_sound *sound;
    float *wave;
    int wave_count;
};

/* As loud as the loudest of the clip is 1. */
static void measure(struct audio_reading *r) {
    const int count = (int)ceil(r->facts.duration_s / WAVE_STEP_S);
    if (count < 1 || count > 10000000) return;
    sp_sound_peak *peaks = calloc((size_t)count, sizeof *peaks);
    float *wave = calloc((size_t)count, sizeof *wave), most = 1e-4f;
    if (peaks != NULL && wave != NULL &&
        sp_sound_peaks(r->sound, 0, count * WAVE_STEP_S, (size_t)count, peaks, NULL)) {
        for (int i = 0; i < count; i++) {
            wave[i] = fmaxf(fabsf(peaks[i].low), fabsf(peaks[i].high));
            most = fmaxf(most, wave[i]);
        }
        for (int i = 0; i < count; i++) wave[i] /= most;
        r->wave = wave;
        r->wave_count = count;
    } else {
        free(wave);
    }
    free(peaks);
}

static int read_sound(void *data) {
    struct audio_reading *r = data;
    const sp_sound_options options = {.cancelled = &r->cancelled};
    r->sound = sp_sound_open(r->path, &r->facts, &options, NULL);
    if (r->sound != NULL) measure(r);
    atomic_store(&r->done, true);
    SDL_Event wake = {.type = SDL_USEREVENT};
    SDL_PushEvent(&wake);
    return 0;
}

void audio_begin(window *w) {
    audio_end(w);
    if (!w->session.facts->sound) return;
    struct audio_reading *r = calloc(1, sizeof *r);
    if (r == NULL) return;
    r->facts = *w->session.facts;
    sp_text_copy(r->path, sizeof r->path, w->session.clip_path);
    r->thread = SDL_CreateThread(read_sound, "sound", r);
    if (r->thread == NULL) {
        free(r);
        return;
    }
    w->audio.reading = r;
}

void audio_update(window *w) {
    audio *a = &w->audio;
    struct audio_reading *r = a->reading;
    if (r == NULL || !atomic_load(&r->done)) return;
    SDL_WaitThread(r->thread, NULL);
    a->sound = r->sound;
    a->wave = r->wave;
    a->wave_count = r->wave_count;
    a->wave_s = r->wave_count * WAVE_STEP_S;
    a->reading = NULL;
    free(r);
    window_touch(w, PART_STRIP);
}

void audio_end(window *w) {
    audio *a = &w->audio;
    audio_stop(w);
    if (a->reading != NULL) {
        atomic_store(&a->reading->cancelled, true);
        SDL_WaitThread(a->reading->thread, NULL);
        sp_sound_close(a->reading->sound);
        free(a->reading->wave);
        free(a->reading);
    }
    sp_sound_close(a->sound);
    free(a->wave);
    *a = (audio){.device = a->device};
}

void audio_close(window *w) {
    audio_end(w);
    if (w->audio.device != 0) SDL_CloseAudioDevice(w->audio.device);
    w->audio.device = 0;
}

/* --- playing ---------------------------------------------------------------------------------- */

/* Always two channels, so that one device serves every clip. Without one the picture plays alone.
 */
static bool open_device(audio *a) {
    if (a->device != 0) return true;
    if (SDL_WasInit(SDL_INIT_AUDIO) == 0 && SDL_InitSubSystem(SDL_INIT_AUDIO) != 0) return false;
    const SDL_AudioSpec wanted = {
        .freq = SP_SOUND_RATE, .format = AUDIO_F32SYS, .channels = 2, .samples = 1024};
    a->device = SDL_OpenAudioDevice(NULL, 0, &wanted, NULL, 0);
    return a->device != 0;
}

/* From one channel, in place. */
static void double_up(float *samples, size_t count) {
    for (size_t i = count; i-- > 0;) samples[2 * i] = samples[2 * i + 1] = samples[i];
}

static bool feed_step(audio *a) {
    float samples[2 * SP_STRETCH_STEP];
    if (!sp_stretch_next(a->stretch, samples, NULL)) return false;
    if (sp_sound_get_facts(a->sound)->channels == 1) double_up(samples, SP_STRETCH_STEP);
    return SDL_QueueAudio(a->device, samples, sizeof samples) == 0;
}

void audio_feed(window *w) {
    audio *a = &w->audio;
    const size_t enough = (size_t)(AHEAD_S * SP_SOUND_RATE) * 2 * sizeof(float);
    while (a->stretch != NULL && SDL_GetQueuedAudioSize(a->device) < enough) {
        if (sp_stretch_at(a->stretch) < a->until && feed_step(a)) continue;
        sp_stretch_free(a->stretch);
        a->stretch = NULL;
    }
}

void audio_play(window *w, int frame) {
    audio *a = &w->audio;
    audio_stop(w);
    const double slowdown = sp_review_get_clip(w->session.review)->slowdown;
    const double speed = play_factor(w->play.speed) * slowdown; /* of the clip's own */
    if (a->sound == NULL || speed > 1 + 1e-9 || !open_device(a)) return;
    const double *seconds = w->session.times.seconds;
    a->stretch = sp_stretch_new(a->sound, sp_sound_at(seconds[frame]), fmin(speed, 1));
    a->until = sp_sound_at(seconds[play_last(w)]);
    audio_feed(w);
    SDL_PauseAudioDevice(a->device, 0);
}

void audio_stop(window *w) {
    sp_stretch_free(w->audio.stretch);
    w->audio.stretch = NULL;
    if (w->audio.device == 0) return;
    SDL_PauseAudioDevice(w->audio.device, 1);
    SDL_ClearQueuedAudio(w->audio.device);
}
