#include "clip/sound_span.h"

#include <stdlib.h>
#include <string.h>

bool sp_span_init(sp_sound_span *span, int64_t from, int64_t to, int channels) {
    *span = (sp_sound_span){.from = from, .to = from, .channels = channels};
    /* Fresh pages that nothing is written to cost no memory: silence is free. */
    span->samples = calloc((size_t)(to - from) + 1, sizeof(float) * (size_t)channels);
    if (span->samples == NULL) return false;
    span->to = to;
    return true;
}

void sp_span_clear(sp_sound_span *span) {
    free(span->samples);
    *span = (sp_sound_span){0};
}

static int64_t later(int64_t a, int64_t b) { return a > b ? a : b; }

static int64_t sooner(int64_t a, int64_t b) { return a < b ? a : b; }

void sp_span_write(sp_sound_span *span, int64_t at, const float *samples, int64_t count) {
    const int64_t from = later(at, span->from), to = sooner(at + count, span->to);
    if (from >= to) return;
    const size_t step = (size_t)span->channels;
    memcpy(span->samples + (size_t)(from - span->from) * step, samples + (size_t)(from - at) * step,
           (size_t)(to - from) * step * sizeof(float));
}

void sp_span_read(const sp_sound_span *span, int64_t at, float *samples, int64_t count) {
    const int64_t from = later(at, span->from), to = sooner(at + count, span->to);
    const size_t step = (size_t)span->channels;
    memset(samples, 0, (size_t)count * step * sizeof(float));
    if (from >= to) return;
    memcpy(samples + (size_t)(from - at) * step, span->samples + (size_t)(from - span->from) * step,
           (size_t)(to - from) * step * sizeof(float));
}
