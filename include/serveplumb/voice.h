/* The coach's voice as a file: RIFF/WAVE, PCM, 16 bit, one channel, SP_VOICE_RATE a second
 * (Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0, 1991; from
 * memory). */
#ifndef SERVEPLUMB_VOICE_H
#define SERVEPLUMB_VOICE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"

#define SP_VOICE_RATE 48000

/* --- writing: what has been added is a whole file after each flush --------------------------- */
typedef struct sp_voice_writer sp_voice_writer;

/* The file must not be there yet: no take is ever written over. */
sp_voice_writer *sp_voice_create(const char *path, sp_error *error);
/* -1 to 1. On failure what was flushed before is good. */
bool sp_voice_add(sp_voice_writer *writer, const float *samples, size_t count, sp_error *error);
bool sp_voice_flush(sp_voice_writer *writer, sp_error *error);
int64_t sp_voice_added(const sp_voice_writer *writer); /* samples */
/* Flushes; also after a failure. */
bool sp_voice_close(sp_voice_writer *writer, sp_error *error);

/* --- reading --------------------------------------------------------------------------------- */
typedef struct sp_voice sp_voice;

/* SP_ERROR_FORMAT for any other kind of file. One that ends too early holds what is there. */
sp_voice *sp_voice_open(const char *path, sp_error *error);
void sp_voice_free(sp_voice *voice);
int64_t sp_voice_count(const sp_voice *voice); /* samples */
/* Silence where there is nothing. */
bool sp_voice_copy(sp_voice *voice, int64_t from, size_t count, float *samples, sp_error *error);

#endif
