#include "spline.h"

#include <assert.h>
#include <stdbool.h>

/* Slopes of the keys strictly between `first` and `last`, whose own slopes are known: the cubic
 * spline with clamped ends (tridiagonal system, from memory). */
static void solve_slopes(spline *s, size_t first, size_t last) {
    double ratio[SPLINE_KEYS_MAX] = {0}, right[SPLINE_KEYS_MAX] = {0};
    right[first] = s->slope[first];
    for (size_t i = first + 1; i < last; ++i) {
        double before = 1.0 / (s->time[i] - s->time[i - 1]);
        double after = 1.0 / (s->time[i + 1] - s->time[i]);
        double rise_before = (s->value[i] - s->value[i - 1]) * before;
        double rise_after = (s->value[i + 1] - s->value[i]) * after;
        double pivot = 2.0 * (before + after) - before * ratio[i - 1];
        double sum = 3.0 * (rise_before * before + rise_after * after);
        ratio[i] = after / pivot;
        right[i] = (sum - before * right[i - 1]) / pivot;
    }
    for (size_t i = last - 1; i > first; --i) {
        s->slope[i] = right[i] - ratio[i] * s->slope[i + 1];
    }
}

/* Second derivative at the key that opens the cubic between i and i + 1, or that closes it. */
static double opening_bend(const spline *s, size_t i) {
    double h = s->time[i + 1] - s->time[i];
    return (6.0 * (s->value[i + 1] - s->value[i]) / h - 4.0 * s->slope[i] - 2.0 * s->slope[i + 1]) /
           h;
}
static double closing_bend(const spline *s, size_t i) {
    double h = s->time[i + 1] - s->time[i];
    return (-6.0 * (s->value[i + 1] - s->value[i]) / h + 2.0 * s->slope[i] +
            4.0 * s->slope[i + 1]) /
           h;
}

spline spline_through(const spline_key *keys, size_t count, double unit) {
    assert(count >= 2 && count <= SPLINE_KEYS_MAX);
    spline s = {.count = count};
    for (size_t i = 0; i < count; ++i) {
        assert(i == 0 || keys[i].time > keys[i - 1].time);
        s.time[i] = keys[i].time;
        s.value[i] = keys[i].value * unit;
        s.slope[i] = keys[i].kind == KEY_SLOPE ? keys[i].slope * unit : 0.0;
    }
    for (size_t first = 0, i = 1; i < count; ++i) {
        if (keys[i].kind == KEY_PASS && i + 1 < count) continue;
        solve_slopes(&s, first, i);
        first = i;
    }
    for (size_t i = 1; i + 1 < count; ++i) {
        bool rest = keys[i].kind == KEY_REST;
        s.bend[i] = rest ? 0.0 : 0.5 * (closing_bend(&s, i - 1) + opening_bend(&s, i));
    }
    return s;
}

/* The coefficients of the quintic between keys i and i + 1 in the time since key i. */
static void quintic(const spline *s, size_t i, double c[6]) {
    double h = s->time[i + 1] - s->time[i];
    double rise = s->value[i + 1] - s->value[i] - h * (s->slope[i] + 0.5 * h * s->bend[i]);
    double steep = s->slope[i + 1] - s->slope[i] - h * s->bend[i];
    double curl = s->bend[i + 1] - s->bend[i];
    double h2 = h * h, h3 = h2 * h;
    c[0] = s->value[i];
    c[1] = s->slope[i];
    c[2] = 0.5 * s->bend[i];
    c[3] = (10.0 * rise - 4.0 * h * steep + 0.5 * h2 * curl) / h3;
    c[4] = (-15.0 * rise + 7.0 * h * steep - h2 * curl) / (h3 * h);
    c[5] = (6.0 * rise - 3.0 * h * steep + 0.5 * h2 * curl) / (h3 * h2);
}

static size_t piece_of(const spline *s, double time) {
    size_t i = 0;
    while (i + 2 < s->count && time >= s->time[i + 1]) ++i;
    return i;
}

double spline_at(const spline *s, double time) {
    if (time <= s->time[0]) return s->value[0];
    if (time >= s->time[s->count - 1]) return s->value[s->count - 1];
    size_t i = piece_of(s, time);
    double c[6], t = time - s->time[i];
    quintic(s, i, c);
    return c[0] + t * (c[1] + t * (c[2] + t * (c[3] + t * (c[4] + t * c[5]))));
}

double spline_slope_at(const spline *s, double time) {
    if (time <= s->time[0] || time >= s->time[s->count - 1]) return 0.0;
    size_t i = piece_of(s, time);
    double c[6], t = time - s->time[i];
    quintic(s, i, c);
    return c[1] + t * (2.0 * c[2] + t * (3.0 * c[3] + t * (4.0 * c[4] + t * 5.0 * c[5])));
}
