#include "sound.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

enum { SAMPLE_RATE = 48000 };

double sound_delay(const options *o, vector at) {
    return length(sub(at, o->camera.position)) / 343.0; /* m/s in air of 20 C */
}

/* A knock: a decaying tone of `pitch` Hz that begins at `begin` s. */
static double knock(double t, double begin, double pitch, double decay_s) {
    double since = t - begin;
    return since < 0.0 ? 0.0 : exp(-since / decay_s) * sin(2.0 * M_PI * pitch * since);
}

static void put_number(FILE *f, uint32_t value, int bytes) {
    for (int i = 0; i < bytes; ++i) fputc((int)(value >> (8 * i) & 0xff), f);
}

static void put_header(FILE *f, uint32_t samples) {
    fputs("RIFF", f);
    put_number(f, 36 + 2 * samples, 4);
    fputs("WAVEfmt ", f);
    put_number(f, 16, 4);
    put_number(f, 1, 2);
    put_number(f, 1, 2);
    put_number(f, SAMPLE_RATE, 4);
    put_number(f, 2 * SAMPLE_RATE, 4);
    put_number(f, 2, 2);
    put_number(f, 16, 2);
    fputs("data", f);
    put_number(f, 2 * samples, 4);
}

bool sound_write(const char *path, const serve *s, const options *o, const clip_time *clip) {
    FILE *f = fopen(path, "wb");
    if (!f) {
        fprintf(stderr, "%s cannot be written: check that its folder exists and is yours.\n", path);
        return false;
    }
    uint32_t samples = (uint32_t)(clip->frames / clip->rate * SAMPLE_RATE), hiss = 1;
    ball_state bounce = flight_at(&s->shot, fmin(s->shot.bounce_time, 2.0));
    double touch = sound_delay(o, s->shot.state[0].at) - clip->start;
    double thud = s->shot.bounce_time + sound_delay(o, bounce.at) - clip->start;
    put_header(f, samples);
    for (uint32_t i = 0; i < samples; ++i) {
        double t = (double)i / SAMPLE_RATE;
        hiss = hiss * 1664525u + 1013904223u;
        double value = 0.004 * (hiss / 2147483648.0 - 1.0);
        value += 0.7 * knock(t, touch, 1150.0, 0.012) + 0.3 * knock(t, touch, 430.0, 0.03);
        value += 0.12 * knock(t, thud, 240.0, 0.02);
        put_number(f, (uint32_t)(int32_t)lround(32000.0 * fmin(fmax(value, -1.0), 1.0)), 2);
    }
    return fclose(f) == 0;
}
