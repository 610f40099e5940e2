/* What can be derived from the truth: the numbers a coach would measure, as they really are. */
#ifndef DEMO_MEASURES_H
#define DEMO_MEASURES_H

#include "json.h"
#include "reel.h"

/* Angles and heights on one frame. */
void measures_of_frame(json *j, const char *key, const reel_frame *frame, const camera *camera,
                       bool left_handed);
/* Speeds, times, the toss and the flight. */
void measures_of_serve(json *j, const serve *serve, const reel *reel, const camera *camera);

#endif
