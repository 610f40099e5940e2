/* Hands raw frames to the ffmpeg command, which writes the clip. */
#ifndef DEMO_ENCODER_H
#define DEMO_ENCODER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

typedef struct {
    int pipe;
    pid_t child;
    size_t frame_bytes;
} encoder;

typedef struct {
    const char *path;  /* of the clip */
    const char *sound; /* a WAV file, or NULL */
    int width, height; /* as stored */
    double rate;       /* stored frames a second */
} encoder_job;

/* False with a line on standard error, here and below. */
bool encoder_start(encoder *encoder, const encoder_job *job);
bool encoder_add(encoder *encoder, const uint8_t *frame);
bool encoder_finish(encoder *encoder);

#endif
