#include "clip/sound_peaks.h"

#include <stdlib.h>

bool sp_shape_init(sp_sound_shape *shape, int64_t from, int64_t to) {
    *shape = (sp_sound_shape){.from = from, .count = (to - from) / SP_PEAK_SAMPLES + 1};
    shape->parts = calloc((size_t)shape->count, sizeof *shape->parts);
    if (shape->parts == NULL) shape->count = 0;
    return shape->parts != NULL;
}

void sp_shape_clear(sp_sound_shape *shape) {
    free(shape->parts);
    *shape = (sp_sound_shape){0};
}

void sp_peak_widen(sp_sound_peak *peak, const float *values, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (values[i] < peak->low) peak->low = values[i];
        if (values[i] > peak->high) peak->high = values[i];
    }
}

void sp_shape_add(sp_sound_shape *shape, int64_t at, const float *samples, int64_t count,
                  int channels) {
    for (int64_t i = 0; i < count;) {
        const int64_t off = at + i - shape->from;
        if (off < 0) {
            i -= off;
            continue;
        }
        const int64_t part = off / SP_PEAK_SAMPLES;
        if (part >= shape->count) return;
        int64_t end = i + SP_PEAK_SAMPLES - off % SP_PEAK_SAMPLES;
        if (end > count) end = count;
        sp_peak_widen(&shape->parts[part], samples + i * channels, (size_t)((end - i) * channels));
        i = end;
    }
}

sp_sound_peak sp_shape_between(const sp_sound_shape *shape, int64_t from, int64_t to) {
    sp_sound_peak peak = {0};
    int64_t part = (from - shape->from) / SP_PEAK_SAMPLES;
    if (from < shape->from) part = 0;
    for (; part < shape->count && shape->from + part * SP_PEAK_SAMPLES < to; part++) {
        if (shape->parts[part].low < peak.low) peak.low = shape->parts[part].low;
        if (shape->parts[part].high > peak.high) peak.high = shape->parts[part].high;
    }
    return peak;
}
