/* The touch and the bounce as a phone hears them. */
#ifndef DEMO_SOUND_H
#define DEMO_SOUND_H

#include "clip_time.h"
#include "serve.h"

/* Time of frame 0 is the first sample. False with a line on standard error. */
bool sound_write(const char *path, const serve *serve, const options *options,
                 const clip_time *clip);
/* When the sound made at `at` reaches the camera, s after it was made. */
double sound_delay(const options *options, vector at);

#endif
