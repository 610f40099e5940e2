#include "serveplumb/sound.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "clip/refusal.h"
#include "clip/sound_peaks.h"
#include "clip/sound_span.h"
#include "clip/sound_stream.h"

static const size_t budget_default = (size_t)128 << 20;
static const double longest_s = 12.0 * 3600;

enum { MARGIN = SP_SOUND_RATE };          /* kept before the first and behind the last frame */
enum { WINDOW_MAX = 20 * SP_SOUND_RATE }; /* decoded at a time when not all can be kept */
enum { WINDOW_MIN = SP_SOUND_RATE / 2 };
enum { ANCHOR_STEP = SP_SOUND_RATE };
enum { BEFORE = SP_SOUND_RATE }; /* of a window: reading back a little does not decode anew */

struct sp_sound {
    sp_sound_facts facts;
    sp_sound_stream stream; /* closed when all is in memory */
    sp_sound_span span;     /* everything, or the window decoded last */
    sp_sound_shape shape;
    sp_sound_anchor *anchors; /* about one a second */
    int anchors_count, anchors_room;
    int64_t from, to; /* what is of interest */
    int64_t window;   /* samples */
};

/* Nothing is farther away than this, whatever a clip says. */
static const double farthest_s = 1e12;

int64_t sp_sound_at(double time_s) {
    return llround(fmin(fmax(time_s, -farthest_s), farthest_s) * SP_SOUND_RATE);
}

static bool grow_anchors(sp_sound *sound) {
    if (sound->anchors_count < sound->anchors_room) return true;
    const int room = sound->anchors_room == 0 ? 64 : 2 * sound->anchors_room;
    sp_sound_anchor *anchors = realloc(sound->anchors, sizeof *anchors * (size_t)room);
    if (anchors == NULL) return false;
    sound->anchors = anchors;
    sound->anchors_room = room;
    return true;
}

/* Without memory for one there are fewer, and decoding begins farther back. */
static void note_anchor(sp_sound *sound) {
    const sp_sound_anchor *anchor = &sound->stream.anchor;
    const int count = sound->anchors_count;
    if (count > 0 && anchor->at - sound->anchors[count - 1].at < ANCHOR_STEP) return;
    if (grow_anchors(sound)) sound->anchors[sound->anchors_count++] = *anchor;
}

static void note_range(sp_sound *sound, const sp_sound_block *block) {
    sp_sound_facts *facts = &sound->facts;
    int64_t from = block->at, to = block->at + block->count;
    if (from < sound->from) from = sound->from;
    if (to > sound->to) to = sound->to;
    if (from >= to) return;
    if (facts->end == facts->first) facts->first = from, facts->end = to;
    if (from < facts->first) facts->first = from;
    if (to > facts->end) facts->end = to;
}

static void take(sp_sound *sound, const sp_sound_block *block) {
    note_range(sound, block);
    if (sound->facts.whole) {
        sp_span_write(&sound->span, block->at, block->samples, block->count);
    } else {
        note_anchor(sound);
        sp_shape_add(&sound->shape, block->at, block->samples, block->count, sound->facts.channels);
    }
}

static bool is_cancelled(const sp_sound_options *options) {
    return options->cancelled != NULL && atomic_load(options->cancelled);
}

static bool fail_cancelled(sp_error *error) {
    return sp_fail(error, SP_ERROR_CANCELLED, "the sound was not read to its end");
}

/* Sound that goes on without end, or over and over the same time, is left where it is long enough
 * to fill the clip twice. */
static bool decode_all(sp_sound *sound, const sp_sound_options *options, sp_error *error) {
    int64_t left = 2 * (sound->to - sound->from);
    sp_sound_block block;
    while (left > 0 && sp_stream_next(&sound->stream, &block)) {
        if (is_cancelled(options)) return fail_cancelled(error);
        take(sound, &block);
        left -= block.count;
    }
    if (is_cancelled(options)) return fail_cancelled(error);
    sound->facts.gaps = sound->stream.clock.gaps;
    sound->facts.corrections = sound->stream.clock.corrections;
    sound->facts.errors = sound->stream.errors;
    return true;
}

static bool make_room(sp_sound *sound, size_t budget) {
    const size_t bytes = sizeof(float) * (size_t)sound->facts.channels;
    sound->facts.whole = (size_t)(sound->to - sound->from) <= budget / bytes;
    if (sound->facts.whole)
        return sp_span_init(&sound->span, sound->from, sound->to, sound->facts.channels);
    sound->window = (int64_t)(budget / bytes);
    if (sound->window > WINDOW_MAX) sound->window = WINDOW_MAX;
    if (sound->window < WINDOW_MIN) sound->window = WINDOW_MIN;
    return sp_shape_init(&sound->shape, sound->from, sound->to);
}

static bool open_all(sp_sound *sound, const char *path, const sp_clip_facts *facts,
                     const sp_sound_options *options, sp_error *error) {
    if (!(facts->duration_s <= longest_s))
        return sp_fail(error, SP_ERROR_LIMIT,
                       "'%s' lasts %.0f h; sound is read of up to 12 h: cut the clip shorter", path,
                       facts->duration_s / 3600);
    if (!sp_stream_open(&sound->stream, path, facts->start_s, error))
        return is_cancelled(options) && fail_cancelled(error);
    sound->facts.channels = sound->stream.channels;
    sound->from = -MARGIN;
    sound->to = sp_sound_at(facts->duration_s) + MARGIN;
    const size_t budget = options->budget_bytes > 0 ? options->budget_bytes : budget_default;
    if (!make_room(sound, budget)) return sp_refuse_memory(path, error);
    if (!decode_all(sound, options, error)) return false;
    if (sound->stream.gone)
        return sp_fail(error, SP_ERROR_DECODER,
                       "the decoder of the sound of '%s' has ended, as a damaged or hostile clip "
                       "can make it; the pictures can be reviewed without",
                       path);
    if (sound->facts.whole) sp_stream_close(&sound->stream);
    return true;
}

sp_sound *sp_sound_open(const char *path, const sp_clip_facts *facts,
                        const sp_sound_options *options, sp_error *error) {
    static const sp_sound_options defaults = {0};
    sp_sound *sound = calloc(1, sizeof *sound);
    if (sound == NULL) {
        sp_refuse_memory(path, error);
        return NULL;
    }
    if (options == NULL) options = &defaults;
    sound->stream =
        (sp_sound_stream){.process = {-1, -1}, .reader.file = -1, .left = options->cancelled};
    const bool good = open_all(sound, path, facts, options, error);
    sound->stream.left = NULL; /* the caller's, until here */
    if (good) return sound;
    sp_sound_close(sound);
    return NULL;
}

void sp_sound_close(sp_sound *sound) {
    if (sound == NULL) return;
    sp_stream_close(&sound->stream);
    sp_span_clear(&sound->span);
    sp_shape_clear(&sound->shape);
    free(sound->anchors);
    free(sound);
}

const sp_sound_facts *sp_sound_get_facts(const sp_sound *sound) { return &sound->facts; }

/* --- windows --- */

static const sp_sound_anchor *anchor_before(const sp_sound *sound, int64_t at) {
    static const sp_sound_anchor start = {.stamp_s = NAN};
    int low = -1, high = sound->anchors_count;
    while (high - low > 1) {
        const int middle = low + (high - low) / 2;
        if (sound->anchors[middle].at <= at) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low < 0 ? &start : &sound->anchors[low];
}

static bool decode_window(sp_sound *sound, int64_t from, sp_error *error) {
    const int64_t to = from + sound->window;
    sp_span_clear(&sound->span);
    if (!sp_span_init(&sound->span, from, to, sound->facts.channels))
        return sp_refuse_memory(sound->stream.reader.path, error);
    if (!sp_stream_go(&sound->stream, anchor_before(sound, from), error)) {
        sp_span_clear(&sound->span);
        return false;
    }
    int64_t left = 2 * (sound->to - sound->from);
    for (sp_sound_block block; left > 0 && sp_stream_next(&sound->stream, &block);) {
        if (block.at >= to) break;
        sp_span_write(&sound->span, block.at, block.samples, block.count);
        left -= block.count;
    }
    return true;
}

/* Makes sample `first` readable. */
static bool reach(sp_sound *sound, int64_t first, sp_error *error) {
    const bool there = first >= sound->span.from && first < sound->span.to;
    const int64_t before = BEFORE < sound->window / 4 ? BEFORE : sound->window / 4;
    return sound->facts.whole || there || decode_window(sound, first - before, error);
}

static int64_t shorter(int64_t a, int64_t b) { return a < b ? a : b; }

bool sp_sound_copy(sp_sound *sound, int64_t first, size_t count, float *samples, sp_error *error) {
    const sp_sound_facts *facts = &sound->facts;
    const size_t bytes = sizeof *samples * (size_t)facts->channels;
    int64_t left = (int64_t)count, part;
    for (; left > 0; left -= part, first += part, samples += part * facts->channels) {
        if (first < facts->first || first >= facts->end) {
            part = first < facts->first ? shorter(facts->first - first, left) : left;
            memset(samples, 0, bytes * (size_t)part);
        } else {
            if (!reach(sound, first, error)) return false;
            part = shorter(shorter(sound->span.to, facts->end) - first, left);
            sp_span_read(&sound->span, first, samples, part);
        }
    }
    return true;
}

/* --- the strip's shape --- */

static bool peak_of_samples(sp_sound *sound, int64_t from, int64_t to, sp_sound_peak *peak,
                            sp_error *error) {
    enum { BLOCK = 1024 };
    float values[BLOCK * 2] = {0};
    *peak = (sp_sound_peak){0};
    for (int64_t at = from; at < to; at += BLOCK) {
        const size_t count = to - at < BLOCK ? (size_t)(to - at) : BLOCK;
        if (!sp_sound_copy(sound, at, count, values, error)) return false;
        if (at == from) peak->low = peak->high = values[0];
        sp_peak_widen(peak, values, count * (size_t)sound->facts.channels);
    }
    return true;
}

bool sp_sound_peaks(sp_sound *sound, double from_s, double to_s, size_t count, sp_sound_peak *peaks,
                    sp_error *error) {
    assert(from_s <= to_s);
    const double step = count > 0 ? (to_s - from_s) / (double)count : 0;
    const bool coarse = !sound->facts.whole && step * SP_SOUND_RATE >= SP_PEAK_SAMPLES;
    for (size_t i = 0; i < count; i++) {
        const int64_t from = sp_sound_at(from_s + step * (double)i);
        int64_t to = sp_sound_at(from_s + step * (double)(i + 1));
        if (to <= from) to = from + 1;
        if (from >= sound->facts.end || to <= sound->facts.first) {
            peaks[i] = (sp_sound_peak){0};
        } else if (coarse) {
            peaks[i] = sp_shape_between(&sound->shape, from, to);
        } else if (!peak_of_samples(sound, from, to, &peaks[i], error)) {
            return false;
        }
    }
    return true;
}
