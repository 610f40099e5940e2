/* One serve: the server's motion, the ball, and the moments. Time 0 is the touch. */
#ifndef DEMO_SERVE_H
#define DEMO_SERVE_H

#include "flight.h"
#include "motion.h"

typedef struct {
    motion motion;
    bool left_handed;
    double drag; /* of its ball, 1 / m: before it is planned; DRAG is that of a new one */
    double release_time, drop_time;
    flight toss, shot;
    vector stance; /* on the ground, in the plane of motion */
} serve;

/* `drop_m`: how far the hand is below the elbow when the racquet is lowest. False with a line on
 * standard error when such a serve cannot be had. */
bool serve_plan(serve *serve, const physique *physique, double drop_m, bool left_handed);
/* Everything at one time, mirrored for a left-hander. */
void serve_pose(const serve *serve, double time, pose *pose);
/* Velocities in the real (mirrored) world; just before the touch when time is 0. */
vector serve_velocity(const serve *serve, double time, body_point point);
/* How far the ball has left the hand, m. */
double serve_hand_gap(const serve *serve, double time);

#endif
