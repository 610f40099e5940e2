/* Turns instants into frames: blur over the exposure, sensor noise, stored rotation. */
#ifndef DEMO_FILM_H
#define DEMO_FILM_H

#include <stddef.h>
#include <stdint.h>

#include "options.h"
#include "scene.h"
#include "serve.h"

typedef struct film film;

/* NULL with a line on standard error. `serve` and `options` must outlive the film. */
film *film_open(const options *options, const serve *serve, const tape *tape);
/* The frame whose exposure is centred on `time` (of its first row), as stored: 4 bytes a pixel,
 * blue first, rows without gaps. Valid until the next call. */
const uint8_t *film_frame(film *film, double time);
int film_width(const film *film);
int film_height(const film *film);
/* The upright picture last made, as a PNG file. */
bool film_save(const film *film, const char *path);
void film_close(film *film);

#endif
