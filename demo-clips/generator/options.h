/* What was asked for on the command line. */
#ifndef DEMO_OPTIONS_H
#define DEMO_OPTIONS_H

#include <stdbool.h>

#include "camera.h"

typedef struct {
    const char *name; /* NAME.mp4 and NAME.truth.json are written */
    const char *view; /* side, back, front, oblique */
    bool left_handed;
    double rate, stored_rate; /* frames a second: captured, and as the clip is played */
    double from, to;          /* s from the touch */
    double contact_phase;     /* 0..1: where the touch lies between two frames */
    double stature, racquet, overhang, drop; /* m */
    double exposure;                         /* s */
    double noise;                            /* SD in 1/255 */
    double tape;                             /* m */
    int rotate;                              /* degrees */
    bool sound, truth_only;
    double still; /* s from the touch: a picture NAME.png only; NAN: no */
    camera camera;
} options;

/* False with a line on standard error. */
bool options_read(int count, char **words, options *options);

#endif
