/* One keyed quantity over time: quintic pieces that share value, slope and second derivative at
 * the keys, so that it is twice continuously differentiable. */
#ifndef DEMO_SPLINE_H
#define DEMO_SPLINE_H

#include <stddef.h>

#define SPLINE_KEYS_MAX 24

typedef enum {
    KEY_PASS, /* the curve passes; slope from the neighbours */
    KEY_REST, /* the curve stands still here: slope and second derivative are zero */
    KEY_SLOPE /* the curve passes with the given slope */
} key_kind;

typedef struct {
    double time, value;
    key_kind kind;
    double slope; /* per second, for KEY_SLOPE */
} spline_key;

typedef struct {
    size_t count;
    double time[SPLINE_KEYS_MAX], value[SPLINE_KEYS_MAX];
    double slope[SPLINE_KEYS_MAX], bend[SPLINE_KEYS_MAX];
} spline;

/* Through 2..SPLINE_KEYS_MAX keys in order of time; the first and the last are at rest. Values are
 * multiplied by `unit` (degrees to radians, or the player's size). */
spline spline_through(const spline_key *keys, size_t count, double unit);
/* Held before the first key and after the last. */
double spline_at(const spline *curve, double time);
double spline_slope_at(const spline *curve, double time);

#endif
