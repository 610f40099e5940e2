#include "serve.h"

#include <stdio.h>

#define RELEASE_TIME (-0.74)
/* Ball speed after the touch over the speed of the strings' middle before it (50.8 / 42 m/s across
 * two published samples; reference: serve kinematics). */
static const double ball_over_racquet = 1.2;
static const double target_x = -1.7, target_y = 17.1;

static bool plan_ball(serve *s) {
    pose touch, release;
    motion_pose(&s->motion, 0.0, &touch);
    motion_pose(&s->motion, s->release_time, &release);
    vector hit = along(touch.at[AT_STRINGS], touch.racquet.front, BALL_RADIUS_M);
    ball_state tossed = {.at = release.at[AT_TOSSED]};
    tossed.velocity = flight_toss(tossed.at, hit, -s->release_time, s->drag);
    flight_follow(&s->toss, s->release_time, tossed, s->drag);

    double speed = ball_over_racquet * length(motion_velocity(&s->motion, 0.0, AT_STRINGS));
    ball_state struck = {.at = hit};
    if (!flight_aim(hit, speed, target_x, target_y, s->drag, &struck.velocity)) return false;
    flight_follow(&s->shot, 0.0, struck, s->drag);
    return true;
}

bool serve_plan(serve *s, const physique *b, double drop_m, bool left_handed) {
    s->left_handed = left_handed;
    s->release_time = RELEASE_TIME;
    if (!motion_plan(&s->motion, b, -drop_m)) {
        fprintf(stderr,
                "The hand cannot be %.3f m below the elbow in this motion: the shoulder turns too "
                "far. Choose a drop nearer to 0.03.\n",
                drop_m);
        return false;
    }
    s->drop_time = motion_lowest_tip(&s->motion);
    if (!plan_ball(s)) {
        fputs("The ball cannot reach the service box from here. Choose another stature.\n", stderr);
        return false;
    }
    pose ready;
    serve_pose(s, -2.0, &ready);
    vector middle = blend(ready.at[AT_OFF_ANKLE], ready.at[AT_HIT_ANKLE], 0.5);
    s->stance = vec(middle.x, middle.y, 0.0);
    return true;
}

void serve_pose(const serve *s, double time, pose *p) {
    motion_pose(&s->motion, time, p);
    if (time < s->release_time) {
        p->at[AT_BALL] = p->at[AT_TOSSED];
    } else {
        p->at[AT_BALL] = flight_at(time < 0.0 ? &s->toss : &s->shot, time).at;
    }
    if (s->left_handed) body_mirror(p);
}

vector serve_velocity(const serve *s, double time, body_point point) {
    vector v;
    if (point == AT_BALL && time >= s->release_time) {
        v = flight_at(time < 0.0 ? &s->toss : &s->shot, time).velocity;
    } else {
        v = motion_velocity(&s->motion, time, point == AT_BALL ? AT_TOSSED : point);
    }
    if (s->left_handed) v.x = -v.x;
    return v;
}

double serve_hand_gap(const serve *s, double time) {
    pose p;
    serve_pose(s, time, &p);
    return length(sub(p.at[AT_BALL], p.at[AT_TOSSED]));
}
