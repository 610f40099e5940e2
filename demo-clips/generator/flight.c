#include "flight.h"

#include "body.h"

/* Shares of the speed that a bounce leaves, up and along (from memory, a hard court). */
static const double bounce_up = 0.75;
static const double bounce_along = 0.68;

static vector pull(vector velocity, double drag) {
    return along(vec(0.0, 0.0, -GRAVITY), velocity, -drag * length(velocity));
}

/* One step of the classical fourth-order Runge-Kutta method. */
static ball_state step(ball_state s, double h, double drag) {
    vector a1 = pull(s.velocity, drag);
    vector v2 = along(s.velocity, a1, 0.5 * h), a2 = pull(v2, drag);
    vector v3 = along(s.velocity, a2, 0.5 * h), a3 = pull(v3, drag);
    vector v4 = along(s.velocity, a3, h), a4 = pull(v4, drag);
    vector v = add(add(s.velocity, v4), scale(add(v2, v3), 2.0));
    vector a = add(add(a1, a4), scale(add(a2, a3), 2.0));
    return (ball_state){along(s.at, v, h / 6.0), along(s.velocity, a, h / 6.0)};
}

/* Time within a step of length h at which the falling ball touches the ground. */
static double touch_down(ball_state s, double h, double drag) {
    double low = 0.0, high = h;
    for (int i = 0; i < 50; ++i) {
        double middle = 0.5 * (low + high);
        if (step(s, middle, drag).at.z > BALL_RADIUS_M) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

/* A step that may hold one bounce; `touch` gets its time within the step, or HUGE_VAL. */
static ball_state step_on_ground(ball_state s, double h, double drag, double *touch) {
    ball_state next = step(s, h, drag);
    *touch = HUGE_VAL;
    if (next.at.z > BALL_RADIUS_M || next.velocity.z > 0.0) return next;
    *touch = touch_down(s, h, drag);
    next = step(s, *touch, drag);
    next.velocity.x *= bounce_along;
    next.velocity.y *= bounce_along;
    next.velocity.z *= -bounce_up;
    return step(next, h - *touch, drag);
}

void flight_follow(flight *f, double start, ball_state first, double drag) {
    f->start = start;
    f->drag = drag;
    f->state[0] = first;
    f->bounce_time = HUGE_VAL;
    for (int i = 0; i < FLIGHT_STEPS; ++i) {
        double touch;
        f->state[i + 1] = step_on_ground(f->state[i], FLIGHT_STEP_S, drag, &touch);
        if (touch < HUGE_VAL && f->bounce_time == HUGE_VAL) {
            f->bounce_time = start + i * FLIGHT_STEP_S + touch;
        }
    }
}

ball_state flight_at(const flight *f, double time) {
    double steps = fmin(fmax((time - f->start) / FLIGHT_STEP_S, 0.0), FLIGHT_STEPS);
    int whole = (int)steps;
    double touch;
    return step_on_ground(f->state[whole], (steps - whole) * FLIGHT_STEP_S, f->drag, &touch);
}

/* Where a throw is after `duration`, without looking at the ground. */
static vector thrown(vector from, vector velocity, double duration, double drag) {
    int steps = (int)ceil(duration / FLIGHT_STEP_S);
    ball_state s = {from, velocity};
    for (int i = 0; i < steps; ++i) s = step(s, duration / steps, drag);
    return s.at;
}

vector flight_toss(vector from, vector to, double duration, double drag) {
    vector velocity = scale(sub(to, from), 1.0 / duration);
    velocity.z += 0.5 * GRAVITY * duration;
    /* Drag changes little, so that correcting by the miss converges at once. */
    for (int i = 0; i < 30; ++i) {
        vector miss = sub(to, thrown(from, velocity, duration, drag));
        velocity = along(velocity, miss, 1.0 / duration);
    }
    return velocity;
}

static bool lands_at(vector from, vector velocity, double drag, double *x, double *y) {
    ball_state s = {from, velocity};
    for (int i = 0; i < FLIGHT_STEPS; ++i) {
        ball_state next = step(s, FLIGHT_STEP_S, drag);
        if (next.at.z <= BALL_RADIUS_M) {
            s = step(s, touch_down(s, FLIGHT_STEP_S, drag), drag);
            *x = s.at.x;
            *y = s.at.y;
            return true;
        }
        s = next;
    }
    return false;
}

bool flight_aim(vector from, double speed, double x, double y, double drag, vector *velocity) {
    double side = atan2(x - from.x, y - from.y), rise = 0.0;
    for (int i = 0; i < 60; ++i) {
        double x1, y1, x2, y2;
        *velocity = scale(vec(sin(side) * cos(rise), cos(side) * cos(rise), sin(rise)), speed);
        vector higher =
            scale(vec(sin(side) * cos(rise + 1e-4), cos(side) * cos(rise + 1e-4), sin(rise + 1e-4)),
                  speed);
        if (!lands_at(from, *velocity, drag, &x1, &y1) || !lands_at(from, higher, drag, &x2, &y2))
            return false;
        double far = hypot(x1 - from.x, y1 - from.y);
        double farther = hypot(x2 - from.x, y2 - from.y);
        double short_by = hypot(x - from.x, y - from.y) - far;
        if (fabs(short_by) < 1e-9) return true;
        rise += fmin(fmax(short_by / (farther - far) * 1e-4, -0.05), 0.05);
    }
    return false;
}
