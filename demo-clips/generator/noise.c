#include "noise.h"

#include <math.h>
#include <stdlib.h>

enum { GRAINS = 1 << 18 };

struct noise {
    double sd;
    uint64_t state;
    int8_t grain[GRAINS];
};

/* xorshift64* (Vigna 2016, from memory). */
static uint64_t next_bits(noise *n) {
    n->state ^= n->state >> 12;
    n->state ^= n->state << 25;
    n->state ^= n->state >> 27;
    return n->state * 2685821657736338717u;
}

static double next_share(noise *n) {
    return ((double)(next_bits(n) >> 11) + 0.5) / 9007199254740992.0;
}

noise *noise_new(double sd) {
    noise *n = malloc(sizeof *n);
    if (!n) return NULL;
    n->sd = sd;
    n->state = 88172645463325252u;
    for (int i = 0; i < GRAINS; ++i) {
        /* Box-Muller */
        double radius = sqrt(-2.0 * log(next_share(n)));
        double value = sd * radius * cos(2.0 * M_PI * next_share(n));
        n->grain[i] = (int8_t)lround(fmin(fmax(value, -127.0), 127.0));
    }
    return n;
}

static uint8_t clamp(int value) { return (uint8_t)(value < 0 ? 0 : value > 255 ? 255 : value); }

void noise_add(noise *n, uint8_t *data, size_t stride, int width, int height) {
    if (n->sd <= 0.0) return;
    for (int y = 0; y < height; ++y) {
        uint8_t *p = data + (size_t)y * stride;
        size_t at = next_bits(n) % GRAINS, hue = next_bits(n) % GRAINS;
        for (int x = 0; x < width; ++x, p += 4) {
            int light = n->grain[at++ % GRAINS], tint = n->grain[hue++ % GRAINS] / 3;
            p[0] = clamp(p[0] + light + tint);
            p[1] = clamp(p[1] + light);
            p[2] = clamp(p[2] + light - tint);
        }
    }
}

void noise_free(noise *n) { free(n); }
