/* Two days of serve speeds, in words. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "serveplumb/speed_days.h"

static const double LEVEL = 0.05;

static sp_speed_unit unit_of(sp_units units) {
    return units == SP_UNITS_IMPERIAL ? SP_SPEED_MPH : SP_SPEED_KM_H;
}

void sp_speed_text(double m_per_s, sp_units units, int decimals, char *text, size_t size) {
    const sp_speed_unit unit = unit_of(units);
    snprintf(text, size, "%.*f %s", decimals, sp_speed_in(unit, m_per_s), sp_speed_unit_id(unit));
}

static void add(char *text, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void add(char *text, size_t size, const char *format, ...) {
    const size_t used = strlen(text);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text + used, size - used, format, arguments);
    va_end(arguments);
}

/* --- what was found -------------------------------------------------------------------------- */

/* Hedges' g against the scatter within a day: what is called small or large of it is a habit of
 * other trades, so that it is told in deviations. */
static void say_effect(const sp_speed_change *c, char *text, size_t size) {
    if (isnan(c->effect.value)) return;
    add(text, size, " That is %.1f times (%.1f to %.1f) the deviation within a day.",
        fabs(c->effect.value), c->effect.value < 0 ? -c->effect.high : c->effect.low,
        c->effect.value < 0 ? -c->effect.low : c->effect.high);
}

static void say_p(const sp_speed_change *c, char *text, size_t size) {
    add(text, size, " Welch's test: p = %.2g; regrouped ", c->welch.p);
    if (c->permutation.exact)
        add(text, size, "in all %.0f ways: p = %.2g.", c->permutation.regrouped, c->permutation.p);
    else
        add(text, size, "%.0f times by chance: p = %.2g +- %.1g.", c->permutation.regrouped,
            c->permutation.p, c->permutation.p_error);
}

static void say_found(sp_speed_change *c, sp_units units) {
    const sp_speed_unit unit = unit_of(units);
    const double difference = c->after->summary.mean - c->before->summary.mean;
    char *text = c->words;
    const size_t size = sizeof c->words;
    text[0] = '\0';
    add(text, size, "%s to %s: %+.1f %s", c->before->date, c->after->date,
        sp_speed_in(unit, difference), sp_speed_unit_id(unit));
    if (!c->tested) {
        add(text, size,
            c->before->summary.count < 2 || c->after->summary.count < 2
                ? " from a single serve: how speeds scatter within a day is not known."
                : " and no scatter within a day: are these rounded readings of one serve?");
        return;
    }
    add(text, size, " (%+.1f to %+.1f).", sp_speed_in(unit, c->welch.difference.low),
        sp_speed_in(unit, c->welch.difference.high));
    say_effect(c, text, size);
    say_p(c, text, size);
}

/* --- what follows from it -------------------------------------------------------------------- */
static void say_device(const sp_speed_change *c, char *text, size_t size) {
    const char *one = c->before->device, *other = c->after->device;
    if (c->before->devices_differ || c->after->devices_differ) {
        add(text, size, " Several devices were used within a day, each with an error of its own.");
    } else if (one[0] == '\0' || other[0] == '\0') {
        add(text, size, " Whether both days used the same device is not said.");
    } else if (strcmp(one, other) != 0) {
        add(text, size,
            " The days used different devices ('%.30s', '%.30s'), which may differ by this much.",
            one, other);
    }
}

static void say_conclusion(sp_speed_change *c) {
    char *text = c->conclude;
    const size_t size = sizeof c->conclude;
    text[0] = '\0';
    if (!c->tested) {
        add(text, size, "Nothing can be concluded: measure five serves or more on each day.");
    } else if (c->differs) {
        add(text, size,
            "The speeds of these two days differ by more than their scatter. What made them differ "
            "they do not say: the day, the balls, wind, fatigue and practice all may, and there is "
            "no day without the change to set them against.");
    } else if (c->permutation.p_least > LEVEL) {
        add(text, size,
            "Nothing can be concluded: with so few serves no difference, however large, could be "
            "told from chance. Measure five or more on each day.");
    } else {
        add(text, size,
            "No difference that can be told from the scatter of serves. That is not proof of none: "
            "the interval says how large it may still be.");
    }
    say_device(c, text, size);
}

bool sp_speed_change_of(const sp_speed_day *before, const sp_speed_day *after, sp_units units,
                        sp_speed_change *change, sp_error *error) {
    *change = (sp_speed_change){
        .before = before, .after = after, .effect = {NAN, NAN, NAN}, .permutation = {.p = NAN}};
    change->tested = sp_welch_test(before->summary, after->summary, &change->welch);
    if (change->tested) {
        if (!sp_permutation_test(before->values, before->summary.count, after->values,
                                 after->summary.count, 0, &change->permutation, error))
            return false;
        change->effect = sp_hedges_g(before->summary, after->summary);
        change->differs = change->welch.p <= LEVEL &&
                          change->permutation.p + change->permutation.p_error <= LEVEL;
    }
    say_found(change, units);
    say_conclusion(change);
    return true;
}

/* --- with a measure -------------------------------------------------------------------------- */
void sp_together_text(const sp_change *change, const sp_speed_change *speed, sp_units units,
                      char *text, size_t size) {
    text[0] = '\0';
    if (change->verdict != SP_CHANGE_CHANGED || !speed->differs) return;
    char difference[128];
    sp_change_difference_text(change, units, difference, sizeof difference);
    const sp_speed_unit unit = unit_of(units);
    add(text, size,
        "%s (%s) and the serve speed (%+.1f %s) changed together. Whether the one made the other "
        "two days cannot tell: whatever else was different on the second day may have made both.",
        change->kind->title, difference, sp_speed_in(unit, speed->welch.difference.value),
        sp_speed_unit_id(unit));
}
