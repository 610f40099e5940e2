/* The lowest and highest values of each 10 ms: the shape of a sound too long to be kept. */
#ifndef SP_CLIP_SOUND_PEAKS_H
#define SP_CLIP_SOUND_PEAKS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/sound.h"

enum { SP_PEAK_SAMPLES = SP_SOUND_RATE / 100 };

typedef struct {
    int64_t from; /* sample at which the first part begins */
    int64_t count;
    sp_sound_peak *parts;
} sp_sound_shape;

bool sp_shape_init(sp_sound_shape *shape, int64_t from, int64_t to);
void sp_shape_clear(sp_sound_shape *shape);
void sp_shape_add(sp_sound_shape *shape, int64_t at, const float *samples, int64_t count,
                  int channels);
/* Of the parts that touch from <= sample < to. */
sp_sound_peak sp_shape_between(const sp_sound_shape *shape, int64_t from, int64_t to);

void sp_peak_widen(sp_sound_peak *peak, const float *values, size_t count);

#endif
