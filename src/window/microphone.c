#include "window/microphone.h"

#include <math.h>
#include <stdlib.h>

#include "serveplumb/voice.h"

/* As long as the window may be busy with something else. */
#define RING ((size_t)SP_VOICE_RATE * 30)
#define BLOCK 512

double microphone_now_s(void) {
    return (double)SDL_GetPerformanceCounter() / (double)SDL_GetPerformanceFrequency();
}

static bool begin_audio(void) {
    return SDL_WasInit(SDL_INIT_AUDIO) != 0 || SDL_InitSubSystem(SDL_INIT_AUDIO) == 0;
}

const char *microphone_name(int index) {
    if (!begin_audio() || index >= SDL_GetNumAudioDevices(1)) return NULL;
    return SDL_GetAudioDeviceName(index, 1);
}

/* On the device's own thread, which holds its lock. When the ring is full the oldest goes, and
 * silence is fetched for it: times stay right. */
static void SDLCALL heard(void *whom, Uint8 *stream, int length) {
    microphone *m = whom;
    const float *samples = (const float *)(const void *)stream;
    const size_t count = (size_t)length / sizeof *samples;
    for (size_t i = 0; i < count; i++) {
        m->ring[(m->first + m->waiting) % RING] = samples[i];
        if (m->waiting < RING) {
            m->waiting++;
        } else {
            m->first = (m->first + 1) % RING;
            m->lost++;
        }
        m->peak = fmaxf(m->peak, fabsf(samples[i]));
    }
    m->heard += (int64_t)count;
    m->last_s = microphone_now_s();
    talk_clock_heard(&m->clock, m->heard, SP_VOICE_RATE, m->last_s);
}

bool microphone_open(microphone *m, const char *name, sp_error *error) {
    *m = (microphone){.ring = calloc(RING, sizeof *m->ring)};
    const SDL_AudioSpec wanted = {.freq = SP_VOICE_RATE,
                                  .format = AUDIO_F32SYS,
                                  .channels = 1,
                                  .samples = BLOCK,
                                  .callback = heard,
                                  .userdata = m};
    if (m->ring != NULL && begin_audio())
        m->device = SDL_OpenAudioDevice(name[0] == '\0' ? NULL : name, 1, &wanted, NULL, 0);
    if (m->device != 0) return true;
    microphone_close(m);
    return sp_fail(error, SP_ERROR_FILE,
                   "no microphone can be opened (%s); plug one in, choose another, or record "
                   "without one",
                   SDL_GetError());
}

void microphone_close(microphone *m) {
    if (m->device != 0) SDL_CloseAudioDevice(m->device);
    free(m->ring);
    *m = (microphone){0};
}

void microphone_listen(microphone *m, bool on) {
    if (m->device == 0) return;
    if (on) {
        SDL_LockAudioDevice(m->device);
        talk_clock_resume(&m->clock);
        m->last_s = microphone_now_s();
        SDL_UnlockAudioDevice(m->device);
    }
    SDL_PauseAudioDevice(m->device, on ? 0 : 1);
}

size_t microphone_take(microphone *m, float *samples, size_t most) {
    if (m->device == 0) return 0;
    SDL_LockAudioDevice(m->device);
    const size_t silent = m->lost < most ? m->lost : most;
    const size_t count = SDL_min(m->waiting, most - silent);
    for (size_t i = 0; i < silent; i++) samples[i] = 0;
    for (size_t i = 0; i < count; i++) samples[silent + i] = m->ring[(m->first + i) % RING];
    m->first = (m->first + count) % RING;
    m->waiting -= count;
    m->lost -= silent;
    SDL_UnlockAudioDevice(m->device);
    return silent + count;
}

double microphone_at(microphone *m, double now_s) {
    SDL_LockAudioDevice(m->device);
    const double at = talk_clock_at(&m->clock, now_s);
    SDL_UnlockAudioDevice(m->device);
    return at;
}

float microphone_peak(microphone *m) {
    if (m->device == 0) return 0;
    SDL_LockAudioDevice(m->device);
    const float peak = m->peak;
    m->peak = 0;
    SDL_UnlockAudioDevice(m->device);
    return peak;
}

double microphone_silent_s(microphone *m) {
    SDL_LockAudioDevice(m->device);
    const double since = microphone_now_s() - m->last_s;
    SDL_UnlockAudioDevice(m->device);
    return since;
}
