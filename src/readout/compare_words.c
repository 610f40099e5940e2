/* The verdicts for people. A difference is told, never a cause. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "readout/compare.h"
#include "readout/readout.h"

const char *sp_change_verdict_id(sp_change_verdict verdict) {
    static const char *const ids[] = {"changed", "within_error", "not_comparable"};
    return ids[verdict];
}

const char *sp_apart_id(sp_apart apart) {
    static const char *const ids[] = {"", "no_number", "other_view", "other_hand", "other_scale"};
    return ids[apart];
}

const char *sp_change_title(const sp_change *change) {
    switch (change->verdict) {
    case SP_CHANGE_CHANGED: return change->of_serves ? "these serves differ" : "changed";
    case SP_CHANGE_WITHIN_ERROR: return "within error";
    case SP_CHANGE_NOT_COMPARABLE: break;
    }
    return "not comparable";
}

static sp_measure as_measure(const sp_change *change, sp_interval value) {
    return (sp_measure){.kind = change->kind, .value = value, .status = SP_STATUS_OK};
}

void sp_change_difference_text(const sp_change *change, sp_units units, char *text, size_t size) {
    text[0] = '\0';
    if (isnan(change->difference.value)) return;
    const sp_measure measure = as_measure(change, change->difference);
    char plain[128];
    sp_measure_text(&measure, units, plain, sizeof plain);
    /* What rounds to nothing has no sign. */
    snprintf(text, size, "%s%s", strtod(plain, NULL) > 0 ? "+" : "", plain);
}

/* Two digits: a fifth either way. */
void sp_change_detectable_text(const sp_change *change, sp_units units, char *text, size_t size) {
    text[0] = '\0';
    const double d = change->detectable;
    if (isnan(d)) return;
    const sp_measure measure = as_measure(change, (sp_interval){d, 0.8 * d, 1.2 * d});
    sp_measure_short_text(&measure, units, text, size);
}

/* --- why not --------------------------------------------------------------------------------- */
static const char *method_title(sp_scale_method method) {
    static const char *const titles[] = {"a line", "the court", "the toss"};
    return titles[method];
}

static bool has_method(const sp_day *day, sp_scale_method method) {
    for (size_t i = 0; i < day->count; i++) {
        bool has = false;
        for (size_t k = 0; k < sp_review_scale_count(day->serves[i].review); k++)
            has = has || sp_review_scale_at(day->serves[i].review, k)->method == method;
        if (!has) return false;
    }
    return true;
}

static size_t index_of(const sp_measure_kind *kind) {
    size_t index = 0;
    while (sp_catalogue_at(index) != kind) index++;
    return index;
}

static void say_scale(sp_change *change, const sp_day *before, const sp_day *after) {
    sp_scale_method one = SP_SCALE_LINE, other = SP_SCALE_LINE;
    const size_t index = index_of(change->kind);
    if (!sp_day_scale_method(before, index, &one) || !sp_day_scale_method(after, index, &other)) {
        snprintf(change->words, sizeof change->words,
                 "The serves of one day have scales of several methods. Use the same method in all "
                 "of them.");
        return;
    }
    const int used =
        snprintf(change->words, sizeof change->words,
                 "The scale is by %s in '%.60s', by %s in '%.60s': their errors are of "
                 "different kinds.",
                 method_title(one), before->name, method_title(other), after->name);
    const bool hers = has_method(after, one), his = has_method(before, other);
    snprintf(change->words + used, sizeof change->words - (size_t)used,
             hers  ? " '%.60s' has a scale by %s too: use it there."
             : his ? " '%.60s' has a scale by %s too: use it there."
                   : " Set the same kind of scale in both.",
             hers ? after->name : before->name, method_title(hers ? one : other));
}

static const char *view_title(const sp_day *day) {
    static const char *const titles[] = {"the side", "behind", "the front", "a slant"};
    return titles[sp_review_get_view(day->serves[0].review)];
}

static void say_apart(sp_change *change, const sp_day *before, const sp_day *after) {
    const bool first = change->before.serves == 0;
    const sp_day_value *missing = first ? &change->before : &change->after;
    switch (change->apart) {
    case SP_APART_VIEW:
        if (sp_review_get_view(before->serves[0].review) ==
            sp_review_get_view(after->serves[0].review)) {
            sp_text_copy(change->words, sizeof change->words,
                         "The two cameras stand on opposite sides of the player: the picture shows "
                         "another side of it. Film both from the same side.");
            return;
        }
        snprintf(change->words, sizeof change->words,
                 "'%.60s' is filmed from %s, '%.60s' from %s: the picture shows another side of "
                 "it. Film both from the same place.",
                 before->name, view_title(before), after->name, view_title(after));
        return;
    case SP_APART_HAND:
        snprintf(change->words, sizeof change->words,
                 "One serve is right-handed, the other left-handed.");
        return;
    case SP_APART_SCALE: say_scale(change, before, after); return;
    case SP_APART_NO_NUMBER:
    case SP_COMPARABLE: break;
    }
    snprintf(change->words, sizeof change->words, "No number in '%.60s': %s. %.320s",
             first ? before->name : after->name, sp_status_title(missing->status), missing->note);
}

/* --- what was found -------------------------------------------------------------------------- */
static void add(sp_change *change, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void add(sp_change *change, const char *format, ...) {
    char sentence[sizeof change->words];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(sentence, sizeof sentence, format, arguments);
    va_end(arguments);
    const size_t used = strlen(change->words), gap = used == 0 ? 0 : 1;
    if (used + gap + strlen(sentence) >= sizeof change->words) return;
    if (gap > 0) change->words[used] = ' ';
    sp_text_copy(change->words + used + gap, sizeof change->words - used - gap, sentence);
}

static bool is_beyond_itself(const sp_change *change) {
    return change->difference.low > 0 || change->difference.high < 0;
}

static void say_verdict(sp_change *change, size_t among, sp_units units) {
    char difference[128], detectable[64];
    sp_change_difference_text(change, units, difference, sizeof difference);
    sp_change_detectable_text(change, units, detectable, sizeof detectable);
    if (change->verdict == SP_CHANGE_CHANGED) {
        add(change, "%s: more than the error, which reaches to %s.", difference, detectable);
        if (change->of_serves)
            add(change,
                "These serves differ. Whether the player changed they cannot tell: film three "
                "or more on each day.");
        return;
    }
    if (is_beyond_itself(change)) {
        add(change,
            "%s: beyond its own error; but of %zu measures compared at once chance brings one that "
            "far too often. Only more than %s could be told from chance.",
            difference, among, detectable);
    } else {
        add(change, "%s: no change that can be told from error. Only more than %s could be.",
            difference, detectable);
    }
}

/* The largest part of the error, so that the next filming can make it smaller. */
static void say_largest(sp_change *change, const sp_change_error *error) {
    const double all = error->sd * error->sd;
    if (error->view_sd * error->view_sd > all / 2) {
        add(change, "Most of the error: the two cameras may look from different directions.");
    } else if (error->scatter_sd * error->scatter_sd > all / 2) {
        add(change, "Most of the error: the serves of a day differ among themselves.");
    } else if (error->opposite) {
        add(change, "The cameras stand on different sides of the player: their errors are added "
                    "up whole.");
    }
}

void sp_change_say(sp_change *change, const sp_change_error *error, const sp_day *before,
                   const sp_day *after, size_t among, sp_units units) {
    change->words[0] = '\0';
    if (change->apart != SP_COMPARABLE) {
        say_apart(change, before, after);
        return;
    }
    say_verdict(change, among, units);
    if (change->verdict == SP_CHANGE_WITHIN_ERROR) say_largest(change, error);
}
