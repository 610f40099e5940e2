/* The review's scales held against one another, in words. */
#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "readout/readout.h"
#include "readout/scales.h"

static const double COVERAGE_95 = 1.959963984540054;
static const double COVERAGE_99 = 2.575829303548901;

static sp_scale_finding finding_of(const sp_found_scale *found) {
    sp_scale_finding finding = {.method = found->entry->method, .m_per_px = {NAN, NAN, NAN}};
    sp_text_copy(finding.id, sizeof finding.id, found->entry->id);
    sp_text_copy(finding.words, sizeof finding.words, found->words);
    if (!found->good) return finding;
    const double spread = exp(COVERAGE_95 * found->relative_sd);
    finding.m_per_px =
        (sp_interval){found->m_per_px, found->m_per_px / spread, found->m_per_px * spread};
    return finding;
}

/* --- words ----------------------------------------------------------------------------------- */
static const char *reason_for(sp_scale_method method) {
    switch (method) {
    case SP_SCALE_LINE: return "its known length is the surest here";
    case SP_SCALE_COURT: return "the court tells it where the player stands";
    case SP_SCALE_TOSS: break;
    }
    return "the ball falls at the player's own distance";
}

static const char *check_for(sp_scale_method method) {
    switch (method) {
    case SP_SCALE_LINE: return "whether the line lies as far away as the player, and its length";
    case SP_SCALE_COURT: return "the landmarks' names and places, and where the feet stand";
    case SP_SCALE_TOSS: break;
    }
    return "the clip's slowdown and the ball's first and last frame";
}

typedef struct {
    char *text;
    size_t size, used;
} sentence;

static void say(sentence *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void say(sentence *s, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(s->text + s->used, s->size - s->used, format, arguments);
    va_end(arguments);
    if (length > 0) s->used += (size_t)length < s->size - s->used ? (size_t)length : 0;
}

/* A gap and a speed that were had by the scale `share` times as large. */
static void say_effect(sentence *s, const sp_readout *readout, double share, const char *id) {
    const sp_measure *gap = sp_readout_find(readout, "hand_elbow_gap", "drop");
    const sp_measure *speed = sp_readout_find(readout, "racquet_head_speed", "contact");
    const bool has_gap = sp_measure_has_number(gap), has_speed = sp_measure_has_number(speed);
    if (has_gap)
        say(s, " With '%.24s' the gap would be %+.1f cm, not %+.1f", id,
            100 * share * gap->value.value, 100 * gap->value.value);
    if (has_speed)
        say(s, "%s %.0f km/h, not %.0f",
            has_gap ? ", the racquet tip" : " The racquet tip would be",
            3.6 * share * speed->value.value, 3.6 * speed->value.value);
    if (has_gap || has_speed) say(s, ".");
}

static void say_pair(const sp_scales *scales, const sp_readout *readout, sp_scale_pair *pair) {
    const sp_found_scale *one = &scales->found[pair->one], *other = &scales->found[pair->other];
    sentence s = {pair->words, sizeof pair->words, 0};
    say(&s, "'%.24s' makes every length and speed %.1f %% %s than '%.24s'.", other->entry->id,
        fabs(pair->differs_percent), pair->differs_percent < 0 ? "smaller" : "larger",
        one->entry->id);
    if (scales->used == one)
        say_effect(&s, readout, other->m_per_px / one->m_per_px, other->entry->id);
    if (scales->used == other)
        say_effect(&s, readout, one->m_per_px / other->m_per_px, one->entry->id);
    say(&s, " Prefer '%.24s' (within %.0f %%): %s.", one->entry->id,
        ceil(100 * COVERAGE_95 * one->relative_sd), reason_for(one->entry->method));
    if (pair->contradict)
        say(&s, " They are farther apart than chance allows: check %s, and %s.",
            check_for(other->entry->method), check_for(one->entry->method));
}

/* --- pairs ----------------------------------------------------------------------------------- */
static void add_pair(const sp_scales *scales, size_t a, size_t b, sp_readout *readout) {
    if (readout->pair_count == SP_PAIRS_MAX) return;
    sp_scale_pair *pair = &readout->pairs[readout->pair_count++];
    const bool first = scales->found[a].relative_sd <= scales->found[b].relative_sd;
    *pair = (sp_scale_pair){.one = first ? a : b, .other = first ? b : a};
    const sp_found_scale *one = &scales->found[pair->one], *other = &scales->found[pair->other];
    const double ratio = other->m_per_px / one->m_per_px;
    pair->differs_percent = 100 * (ratio - 1);
    pair->contradict = fabs(log(ratio)) > COVERAGE_99 * hypot(one->relative_sd, other->relative_sd);
    say_pair(scales, readout, pair);
}

bool sp_scales_report(const sp_scales *scales, sp_readout *readout, sp_error *error) {
    readout->findings = calloc(scales->count + 1, sizeof *readout->findings);
    if (readout->findings == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the readout");
    readout->finding_count = scales->count;
    for (size_t i = 0; i < scales->count; i++) {
        readout->findings[i] = finding_of(&scales->found[i]);
        for (size_t k = 0; k < i; k++)
            if (scales->found[k].good && scales->found[i].good) add_pair(scales, k, i, readout);
    }
    return true;
}

size_t sp_readout_scale_count(const sp_readout *readout) { return readout->finding_count; }

const sp_scale_finding *sp_readout_scale_at(const sp_readout *readout, size_t index) {
    assert(index < readout->finding_count);
    return &readout->findings[index];
}

size_t sp_readout_pair_count(const sp_readout *readout) { return readout->pair_count; }

const sp_scale_pair *sp_readout_pair_at(const sp_readout *readout, size_t index) {
    assert(index < readout->pair_count);
    return &readout->pairs[index];
}
