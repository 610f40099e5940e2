/* The figure as the camera sees it at one instant, each point at the time its row is read. */
#ifndef DEMO_SIGHT_H
#define DEMO_SIGHT_H

#include "figure.h"
#include "serve.h"

typedef struct {
    double x, y, radius; /* px */
} blot;

typedef struct {
    double left, top, right, bottom;
} extent;

typedef struct {
    figure figure; /* its discs as they are when they are seen */
    blot blots[DISCS_MAX];
} sight;

/* `time` is that of the first row. */
void sight_take(const serve *serve, const camera *camera, double time, sight *sight);
/* Grows `box` (start with left > right) by all that is drawn of the figure and its shadow. */
void sight_extent(const sight *sight, const camera *camera, extent *box);

/* Exactly where one point is seen and when; false: behind the camera. */
bool sight_point(const serve *serve, const camera *camera, double time, body_point point,
                 spot *spot, vector *at, double *when);

/* Direction from the ground to the lamp that lights the figure, unit. */
vector sight_to_lamp(void);
/* Where the shadow of a point lies on the ground. */
vector sight_shadow(vector at);

#endif
