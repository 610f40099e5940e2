/* Measures in a coach's units, with as many digits as the interval deserves. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "readout/readout.h"

static const struct {
    const char *id, *title;
} STATUSES[] = {
    [SP_STATUS_OK] = {"ok", "measured"},
    [SP_STATUS_PROJECTED] = {"projected", "as seen in the picture"},
    [SP_STATUS_NEEDS_POINTS] = {"needs_points", "points missing"},
    [SP_STATUS_NEEDS_SCALE] = {"needs_scale", "scale missing"},
    [SP_STATUS_NEEDS_MOMENT] = {"needs_moment", "moment missing"},
    [SP_STATUS_NOT_FROM_THIS_VIEW] = {"not_from_this_view", "not from this view"},
    [SP_STATUS_TOO_COARSE] = {"too_coarse", "too few frames a second"},
};

const char *sp_status_id(sp_status status) { return STATUSES[status].id; }

const char *sp_status_title(sp_status status) { return STATUSES[status].title; }

const char *sp_unit_id(sp_unit unit) {
    static const char *const ids[] = {"deg", "m", "s", "m/s", "ratio"};
    return ids[unit];
}

/* What a coach reads: the SI value times `factor`, then `sign`. */
typedef struct {
    double factor;
    const char *sign;
} scale_to;

static scale_to length_for(double metres, sp_units units) {
    if (units == SP_UNITS_IMPERIAL)
        return metres < 1 ? (scale_to){1 / 0.0254, " in"} : (scale_to){1 / 0.3048, " ft"};
    return metres < 1 ? (scale_to){100, " cm"} : (scale_to){1, " m"};
}

static scale_to unit_for(const sp_measure *measure, sp_units units) {
    switch (measure->kind->unit) {
    case SP_UNIT_DEGREE: return (scale_to){1, "°"};
    case SP_UNIT_METRE: return length_for(fabs(measure->value.value), units);
    case SP_UNIT_SECOND: return (scale_to){1, " s"};
    case SP_UNIT_METRE_PER_SECOND:
        return units == SP_UNITS_IMPERIAL ? (scale_to){1 / 0.44704, " mph"}
                                          : (scale_to){3.6, " km/h"};
    case SP_UNIT_RATIO: break;
    }
    return (scale_to){1, ""};
}

/* Two digits of the half-width where it begins with 1, else one; whole numbers at least. */
static int decimals_for(double half_width) {
    if (!(half_width > 0)) return 3;
    const double place = floor(log10(half_width));
    const int digits = (int)-place + (half_width < 2 * pow(10, place) ? 1 : 0);
    return digits < 0 ? 0 : digits > 4 ? 4 : digits;
}

/* No "-0.0": what rounds to nothing has no sign. */
static double rounded(double value, int decimals) {
    const double unit = pow(10, decimals);
    const double whole = round(value * unit) / unit;
    return whole == 0 ? 0 : whole;
}

void sp_measure_text(const sp_measure *measure, sp_units units, char *text, size_t size) {
    if (!sp_measure_has_number(measure)) {
        snprintf(text, size, "%s", sp_status_title(measure->status));
        return;
    }
    const scale_to to = unit_for(measure, units);
    const sp_interval v = measure->value;
    const int decimals = decimals_for((v.high - v.low) / 2 * to.factor);
    snprintf(text, size, "%.*f%s (%.*f to %.*f)", decimals, rounded(v.value * to.factor, decimals),
             to.sign, decimals, rounded(v.low * to.factor, decimals), decimals,
             rounded(v.high * to.factor, decimals));
}

void sp_measure_short_text(const sp_measure *measure, sp_units units, char *text, size_t size) {
    if (!sp_measure_has_number(measure)) {
        snprintf(text, size, "%s", sp_status_title(measure->status));
        return;
    }
    const scale_to to = unit_for(measure, units);
    const sp_interval v = measure->value;
    const int decimals = decimals_for((v.high - v.low) / 2 * to.factor);
    snprintf(text, size, "%.*f%s", decimals, rounded(v.value * to.factor, decimals), to.sign);
}
