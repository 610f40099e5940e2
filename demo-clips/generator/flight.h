/* The ball in free flight: gravity and quadratic drag; it bounces on the ground. */
#ifndef DEMO_FLIGHT_H
#define DEMO_FLIGHT_H

#include <stdbool.h>

#include "vector.h"

#define GRAVITY 9.80665 /* standard gravity, 3rd CGPM 1901 */
/* rho Cd A / (2 m) with Cd 0.507 (Cross & Lindsey 2013, free flight), 1 / m. */
#define DRAG 0.01848

typedef struct {
    vector at, velocity;
} ball_state;

#define FLIGHT_STEP_S 0.001
#define FLIGHT_STEPS 2400

typedef struct {
    double start; /* s */
    double drag;  /* 1 / m */
    ball_state state[FLIGHT_STEPS + 1];
    double bounce_time; /* of the first bounce; HUGE_VAL when there is none */
} flight;

void flight_follow(flight *flight, double start, ball_state first, double drag);
/* From `start` on, for FLIGHT_STEPS steps. */
ball_state flight_at(const flight *flight, double time);
/* Velocity that carries the ball from `from` to `to` in `duration` seconds. */
vector flight_toss(vector from, vector to, double duration, double drag);
/* Velocity of size `speed` with which the ball first bounces at (x, y); false: out of reach. */
bool flight_aim(vector from, double speed, double x, double y, double drag, vector *velocity);

#endif
