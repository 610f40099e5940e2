/* Every frame's points, in space and in the picture, and the moments among the frames. */
#ifndef DEMO_REEL_H
#define DEMO_REEL_H

#include "clip_time.h"
#include "serve.h"

typedef struct {
    vector at;
    spot seen;
    double when; /* s from the touch: the frame's time, later in lower rows of a rolling shutter */
    bool in_front;
} reel_point;

typedef struct {
    double time; /* of the first row, s from the touch */
    reel_point points[NAMED_POINTS];
} reel_frame;

typedef enum {
    MOMENT_RELEASE,
    MOMENT_TROPHY,
    MOMENT_DROP,
    MOMENT_CONTACT,
    MOMENT_BOUNCE,
    MOMENT_FINISH,
    MOMENT_COUNT
} moment;

typedef struct {
    const char *id, *rule;
    int frame;   /* -1: not in the clip */
    double time; /* exactly, s from the touch */
} reel_moment;

typedef struct {
    int count;
    reel_frame *frames;
    reel_moment moments[MOMENT_COUNT];
} reel;

/* False with a line on standard error. */
bool reel_wind(const serve *serve, const camera *camera, const clip_time *clip, reel *reel);
void reel_free(reel *reel);

#endif
