/* Seeded Gaussian noise of a sensor, the same in every run. */
#ifndef DEMO_NOISE_H
#define DEMO_NOISE_H

#include <stddef.h>
#include <stdint.h>

typedef struct noise noise;

/* `sd` in 1/255; 0 leaves pictures alone. NULL: no memory. */
noise *noise_new(double sd);
/* Grain on each pixel of 4 bytes, a little different for the three colours. */
void noise_add(noise *noise, uint8_t *data, size_t stride, int width, int height);
void noise_free(noise *noise);

#endif
