/* Which instants the frames show. */
#ifndef DEMO_CLIP_TIME_H
#define DEMO_CLIP_TIME_H

#include "options.h"

typedef struct {
    double rate;  /* captured frames a second */
    double start; /* of frame 0, s from the touch */
    int frames;
} clip_time;

clip_time clip_time_plan(const options *options);
double clip_time_of(const clip_time *clip, int frame);
/* The frame nearest to an instant; -1 when it is not in the clip. */
int clip_time_nearest(const clip_time *clip, double time);

#endif
