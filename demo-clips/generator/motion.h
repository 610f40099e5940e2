/* The serve over time: keyed poses, splined. Time 0 is the touch of ball and strings. */
#ifndef DEMO_MOTION_H
#define DEMO_MOTION_H

#include "body.h"
#include "spline.h"

/* Seconds from the touch at which the keyed poses have their names. */
#define TROPHY_TIME (-0.36)
#define DROP_TIME (-0.125)
#define FINISH_TIME 0.40

typedef struct {
    physique physique;
    spline curve[CHANNEL_COUNT];
    double recoil; /* share of the far joints' rates that the touch takes away */
} motion;

/* `gap_m`: height of the hand above the elbow at the racquet's lowest. False: out of the shoulder's
 * range. */
bool motion_plan(motion *motion, const physique *physique, double gap_m);
bool motion_pose(const motion *motion, double time, pose *pose);
/* Velocity of a point just before the touch when time is 0. */
vector motion_velocity(const motion *motion, double time, body_point point);
/* When the racquet's tip is lowest between trophy and touch. */
double motion_lowest_tip(const motion *motion);

#endif
