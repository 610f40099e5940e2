/* Random numbers that are the same on every run (Marsaglia 2003, "Xorshift RNGs", xorshift64). */
#ifndef TESTS_SEEDED_H
#define TESTS_SEEDED_H

#include <stdint.h>

static inline uint64_t seeded_bits(uint64_t *state) {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

/* 0 up to `count`, not included. */
static inline int seeded_below(uint64_t *state, int count) {
    return (int)((seeded_bits(state) >> 11) % (uint64_t)count);
}

static inline double seeded_between(uint64_t *state, double low, double high) {
    return low + (high - low) * (double)(seeded_bits(state) >> 11) * 0x1p-53;
}

#endif
