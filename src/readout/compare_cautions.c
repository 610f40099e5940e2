/* What must be said with a comparison. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "readout/compare.h"

static void warn(sp_comparison *comparison, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
static void warn(sp_comparison *comparison, const char *format, ...) {
    if (comparison->caution_count == SP_COMPARE_CAUTIONS_MAX) return;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(comparison->cautions[comparison->caution_count++], sizeof comparison->cautions[0],
              format, arguments);
    va_end(arguments);
}

static const char *player_of(const sp_day *day) {
    return sp_review_get_player(day->serves[0].review)->name;
}

static void warn_of_players(sp_comparison *comparison, const sp_day *before, const sp_day *after) {
    const char *one = player_of(before), *other = player_of(after);
    if (one[0] != '\0' && other[0] != '\0' && strcmp(one, other) != 0)
        warn(comparison, "The serves are of '%.80s' and of '%.80s': two players, not a change.",
             one, other);
}

static bool any_of(const sp_comparison *comparison, bool projected, bool of_serves) {
    for (size_t i = 0; i < comparison->count; i++) {
        const sp_change *change = &comparison->changes[i];
        if (change->apart != SP_COMPARABLE) continue;
        if (projected && change->before.status == SP_STATUS_PROJECTED) return true;
        if (of_serves && change->of_serves) return true;
    }
    return false;
}

/* The same clip tapped twice tells of the tapping alone. */
static void warn_of_clip(sp_comparison *comparison, const sp_day *before, const sp_day *after) {
    for (size_t i = 0; i < before->count; i++)
        for (size_t k = 0; k < after->count; k++) {
            const sp_review_clip *one = sp_review_get_clip(before->serves[i].review);
            const sp_review_clip *other = sp_review_get_clip(after->serves[k].review);
            if (strcmp(one->sha256, other->sha256) != 0) continue;
            warn(comparison,
                 "The clip '%.80s' is on both sides: what differs there is the tapping, not the "
                 "serve.",
                 one->file);
            return;
        }
}

/* What is doubtful in the scale or the clock of a day's serves: the first of it. */
static void warn_of_measuring(sp_comparison *comparison, const sp_day *day) {
    for (size_t i = 0; i < day->count; i++) {
        const sp_readout *readout = day->serves[i].readout;
        for (size_t k = 0; k < sp_readout_caution_count(readout); k++) {
            if (sp_readout_caution_of(readout, k) != SP_CAUTION_OF_MEASURING) continue;
            warn(comparison, "In '%.80s': %s", day->name, sp_readout_caution_at(readout, k));
            return;
        }
    }
}

static bool shows_drop(const sp_comparison *comparison) {
    for (size_t i = 0; i < comparison->count; i++)
        if (comparison->changes[i].apart == SP_COMPARABLE &&
            strcmp(comparison->changes[i].kind->moment, "drop") == 0)
            return true;
    return false;
}

/* The readout's own words, wherever what they are about is shown. */
static void warn_as_readout(sp_comparison *comparison, const sp_day *after) {
    const sp_readout *readout = after->serves[0].readout;
    for (size_t k = 0; k < sp_readout_caution_count(readout); k++) {
        const sp_caution_of of = sp_readout_caution_of(readout, k);
        if (of == SP_CAUTION_OF_ALL || (of == SP_CAUTION_OF_DROP && shows_drop(comparison)))
            warn(comparison, "%s", sp_readout_caution_at(readout, k));
    }
}

static void warn_of_few(sp_comparison *comparison) {
    if (comparison->compared > 1)
        warn(comparison,
             "%zu measures are compared at once. So that chance calls none of them changed more "
             "than one time in twenty, each needs a larger difference than alone (Holm 1979). Name "
             "the few that were worked on.",
             comparison->compared);
    if (any_of(comparison, false, true))
        warn(comparison,
             "Fewer than three serves on each day: how much a player's serves differ among "
             "themselves is not known. What differs are these serves.");
}

void sp_comparison_warn(sp_comparison *comparison, const sp_day *before, const sp_day *after,
                        bool said_same) {
    warn_of_players(comparison, before, after);
    warn_of_clip(comparison, before, after);
    warn_of_measuring(comparison, before);
    warn_of_measuring(comparison, after);
    warn_of_few(comparison);
    if (said_same && !comparison->same_camera)
        warn(
            comparison,
            "The camera is said to have stood the same, but by the court the directions from which "
            "it looked are %.0f degrees apart: it is taken as moved.",
            sp_cameras_apart_deg(before, after));
    if (!comparison->same_camera && any_of(comparison, true, false))
        warn(comparison,
             "Angles and widths are those in the picture, and change with where the camera stands. "
             "The error holds what two places chosen by eye differ by; where it stood and looked "
             "the "
             "same, say so.");
    if (comparison->compared > 0)
        warn(comparison,
             "A difference is no cause: court, balls, wind, fatigue and the day differ too.");
    warn_as_readout(comparison, after);
}
