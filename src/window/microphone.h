/* The microphone: what it hears waits here until it is fetched. */
#ifndef SP_WINDOW_MICROPHONE_H
#define SP_WINDOW_MICROPHONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <SDL.h>

#include "serveplumb/error.h"
#include "window/talk_clock.h"

typedef struct {
    SDL_AudioDeviceID device; /* 0: not opened */
    float *ring;
    size_t first, waiting; /* of the ring */
    size_t lost;           /* before them, when the ring was full */
    int64_t heard;         /* samples since it was opened */
    double last_s;         /* when the last came, microphone_now_s */
    float peak;            /* since it was last asked for */
    talk_clock clock;
} microphone;

/* Seconds of a steady clock. */
double microphone_now_s(void);

/* Names of what there is; NULL past the last. Borrowed until the next call. */
const char *microphone_name(int index);
/* `name` "" : the system's own choice. It does not listen yet. */
bool microphone_open(microphone *m, const char *name, sp_error *error);
void microphone_close(microphone *m);
void microphone_listen(microphone *m, bool on);
/* Takes up to `most` samples out; how many. */
size_t microphone_take(microphone *m, float *samples, size_t most);
/* Seconds heard at a time of the steady clock. */
double microphone_at(microphone *m, double now_s);
/* Loudest since the last call, 0 to 1. */
float microphone_peak(microphone *m);
/* Seconds since it last gave anything. */
double microphone_silent_s(microphone *m);

#endif
