/* A stretch of samples in memory, with silence where nothing was written. */
#ifndef SP_CLIP_SOUND_SPAN_H
#define SP_CLIP_SOUND_SPAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct {
    int64_t from, to; /* from <= sample < to */
    int channels;
    float *samples;
} sp_sound_span;

/* False without memory; the span is then empty. */
bool sp_span_init(sp_sound_span *span, int64_t from, int64_t to, int channels);
void sp_span_clear(sp_sound_span *span);

/* What lies outside is left out. */
void sp_span_write(sp_sound_span *span, int64_t at, const float *samples, int64_t count);
/* Silence outside. */
void sp_span_read(const sp_sound_span *span, int64_t at, float *samples, int64_t count);

#endif
