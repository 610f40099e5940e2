/* The sound of the clip: its loudness on the strip, played with the picture at its own speed, and
 * where it is sharpest. Read in a thread of its own, so that a clip is open at once. */
#ifndef SP_WINDOW_AUDIO_H
#define SP_WINDOW_AUDIO_H

#include <stdatomic.h>
#include <stdbool.h>

#include <SDL.h>

#include "serveplumb/sound.h"

struct window;
struct audio_reading;

typedef struct {
    struct audio_reading *reading; /* NULL: nothing is being read */
    sp_sound *sound;               /* NULL: none, or not yet */
    SDL_AudioDeviceID device;      /* 0: not opened */
    sp_stretch *stretch;           /* what is being played; NULL: nothing */
    size_t offered;                /* sharp sounds so far */
    int64_t until;                 /* the sample of the sound that ends it */
    float *wave;                   /* loudness 0..1 in equal steps; NULL: none */
    int wave_count;
    double wave_s;
} audio;

/* Begins to read the sound of the clip that is open. */
void audio_begin(struct window *w);
/* Takes over what was read; called when an event woke the window. */
void audio_update(struct window *w);
/* Forgets the sound; the device stays open for the next. */
void audio_end(struct window *w);
void audio_close(struct window *w);

/* Plays from a frame to the end of what is played, where the picture goes at the clip's own speed
 * or slower; then with its pitch kept. */
void audio_play(struct window *w, int frame);
/* Hands the device more before it has played what it has. */
void audio_feed(struct window *w);
void audio_stop(struct window *w);

#endif
