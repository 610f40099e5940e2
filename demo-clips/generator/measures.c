#include "measures.h"

/* The upright plane that the camera looks at squarely: its horizontal, to the picture's right. */
static vector plane_right(const camera *c) {
    return unit(cross(vec(c->forward.x, c->forward.y, 0.0), vec(0.0, 0.0, 1.0)));
}

static vector flat(const camera *c, vector v) { return vec(dot(v, plane_right(c)), 0.0, v.z); }

static double between(vector a, vector b) { return degrees(atan2(length(cross(a, b)), dot(a, b))); }

typedef struct {
    const reel_frame *frame;
    const camera *camera;
    double hitting_x; /* +1: the hitting side is on the right seen from behind */
} subject;

static vector place(const subject *s, body_point p) { return s->frame->points[p].at; }
static vector seen(const subject *s, body_point p) {
    spot at = s->frame->points[p].seen;
    return vec(at.x, at.y, 0.0);
}
static vector middle(const subject *s, body_point a, body_point b) {
    return blend(place(s, a), place(s, b), 0.5);
}

static void put_joint(json *j, const char *key, const subject *s, body_point a, body_point b,
                      body_point c) {
    vector to_a = sub(place(s, a), place(s, b)), to_c = sub(place(s, c), place(s, b));
    json_open(j, key, '{');
    json_number(j, "space_deg", between(to_a, to_c));
    json_number(j, "plane_deg", between(flat(s->camera, to_a), flat(s->camera, to_c)));
    json_number(j, "picture_deg",
                between(sub(seen(s, a), seen(s, b)), sub(seen(s, c), seen(s, b))));
    json_close(j, '}');
}

/* A segment between two points, or between the middles of two pairs. */
typedef struct {
    body_point from[2], to[2];
} segment;

/* 0: straight up; positive to the picture's right in the plane and in the picture. */
static void put_segment(json *j, const char *key, const subject *s, segment g) {
    vector v = sub(middle(s, g.to[0], g.to[1]), middle(s, g.from[0], g.from[1]));
    vector p = flat(s->camera, v);
    vector q = sub(blend(seen(s, g.to[0]), seen(s, g.to[1]), 0.5),
                   blend(seen(s, g.from[0]), seen(s, g.from[1]), 0.5));
    json_open(j, key, '{');
    json_number(j, "space_deg", between(v, vec(0.0, 0.0, 1.0)));
    json_number(j, "plane_deg", degrees(atan2(p.x, p.z)));
    json_number(j, "picture_deg", degrees(atan2(q.x, -q.y)));
    json_number(j, "toward_net_deg", degrees(atan2(v.y, v.z)));
    json_number(j, "toward_off_side_deg", degrees(atan2(-s->hitting_x * v.x, v.z)));
    json_close(j, '}');
}

static void put_segments(json *j, const subject *s) {
    static const struct {
        const char *key;
        segment segment;
    } rows[] = {
        {"trunk_lean", {{AT_OFF_HIP, AT_HIT_HIP}, {AT_OFF_SHOULDER, AT_HIT_SHOULDER}}},
        {"upper_arm_to_plumb", {{AT_HIT_SHOULDER, AT_HIT_SHOULDER}, {AT_HIT_ELBOW, AT_HIT_ELBOW}}},
        {"forearm_to_plumb", {{AT_HIT_ELBOW, AT_HIT_ELBOW}, {AT_HIT_HAND, AT_HIT_HAND}}},
        {"racquet_to_plumb",
         {{AT_RACQUET_BUTT, AT_RACQUET_BUTT}, {AT_RACQUET_TIP, AT_RACQUET_TIP}}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        put_segment(j, rows[i].key, s, rows[i].segment);
    }
}

/* How far the hitting end of a line is above its other end. */
static void put_tilt(json *j, const char *key, const subject *s, body_point off, body_point hit) {
    vector v = sub(place(s, hit), place(s, off));
    json_open(j, key, '{');
    json_number(j, "space_deg", degrees(atan2(v.z, hypot(v.x, v.y))));
    json_number(j, "plane_deg", degrees(atan2(v.z, fabs(flat(s->camera, v).x))));
    json_close(j, '}');
}

static void put_two_segments(json *j, const char *key, const subject *s, vector a, vector b) {
    json_open(j, key, '{');
    json_number(j, "space_deg", between(a, b));
    json_number(j, "plane_deg", between(flat(s->camera, a), flat(s->camera, b)));
    json_close(j, '}');
}

/* How far `at` lies to the hitting side of the line through hitting shoulder and hip, seen from
 * behind, m. */
static double beside_body(const subject *s, vector at) {
    vector shoulder = place(s, AT_HIT_SHOULDER), hip = place(s, AT_HIT_HIP);
    double share = (at.z - hip.z) / (shoulder.z - hip.z);
    return s->hitting_x * (at.x - (hip.x + share * (shoulder.x - hip.x)));
}

static void put_heights(json *j, const subject *s) {
    vector hand = place(s, AT_HIT_HAND), elbow = place(s, AT_HIT_ELBOW);
    vector tip = place(s, AT_RACQUET_TIP), hips = middle(s, AT_OFF_HIP, AT_HIT_HIP);
    double forearm = length(sub(place(s, AT_HIT_WRIST), elbow));
    json_number(j, "hand_elbow_gap_m", hand.z - elbow.z);
    json_number(j, "hand_elbow_gap_per_forearm", (hand.z - elbow.z) / forearm);
    json_number(j, "tip_above_elbow_m", tip.z - elbow.z);
    json_number(j, "tip_above_hips_m", tip.z - hips.z);
    json_number(j, "tip_beside_body_m", beside_body(s, tip));
    json_number(j, "ball_height_m", place(s, AT_BALL).z);
    json_number(j, "ball_ahead_of_front_toe_m", place(s, AT_BALL).y - place(s, AT_OFF_TOE).y);
    json_number(j, "grip_overhang_m",
                length(sub(place(s, AT_HAND_HEEL), place(s, AT_RACQUET_BUTT))));
}

void measures_of_frame(json *j, const char *key, const reel_frame *frame, const camera *c,
                       bool left_handed) {
    const subject s = {frame, c, left_handed ? -1.0 : 1.0};
    vector hips = middle(&s, AT_OFF_HIP, AT_HIT_HIP);
    vector shoulders = middle(&s, AT_OFF_SHOULDER, AT_HIT_SHOULDER);
    vector shoulder = place(&s, AT_HIT_SHOULDER), elbow = place(&s, AT_HIT_ELBOW);
    vector hand = place(&s, AT_HIT_HAND);
    vector butt = place(&s, AT_RACQUET_BUTT), tip = place(&s, AT_RACQUET_TIP);
    json_open(j, key, '{');
    put_joint(j, "elbow_by_hand", &s, AT_HIT_SHOULDER, AT_HIT_ELBOW, AT_HIT_HAND);
    put_joint(j, "elbow_by_wrist", &s, AT_HIT_SHOULDER, AT_HIT_ELBOW, AT_HIT_WRIST);
    put_joint(j, "front_knee", &s, AT_OFF_HIP, AT_OFF_KNEE, AT_OFF_ANKLE);
    put_joint(j, "rear_knee", &s, AT_HIT_HIP, AT_HIT_KNEE, AT_HIT_ANKLE);
    put_segments(j, &s);
    put_two_segments(j, "racquet_to_forearm", &s, sub(tip, butt), sub(hand, elbow));
    put_two_segments(j, "upper_arm_to_trunk", &s, sub(elbow, shoulder), sub(hips, shoulders));
    put_tilt(j, "shoulder_tilt", &s, AT_OFF_SHOULDER, AT_HIT_SHOULDER);
    put_tilt(j, "hip_tilt", &s, AT_OFF_HIP, AT_HIT_HIP);
    put_heights(j, &s);
    json_close(j, '}');
}

static void put_speed(json *j, const char *key, const camera *c, vector velocity) {
    json_open(j, key, '{');
    json_number(j, "space_m_s", length(velocity));
    json_number(j, "plane_m_s", length(flat(c, velocity)));
    json_vector(j, "velocity_m_s", velocity);
    json_close(j, '}');
}

static void put_peak(json *j, const char *key, const serve *s, const camera *c, body_point point) {
    double space = 0.0, plane = 0.0;
    for (double t = s->drop_time; t <= 0.0; t += 0.0002) {
        vector v = serve_velocity(s, t, point);
        space = fmax(space, length(v));
        plane = fmax(plane, length(flat(c, v)));
    }
    json_open(j, key, '{');
    json_number(j, "space_m_s", space);
    json_number(j, "plane_m_s", plane);
    json_close(j, '}');
}

static void put_speeds(json *j, const serve *s, const reel *r, const camera *c) {
    static const struct {
        const char *key;
        body_point point;
    } at_touch[] = {{"racquet_tip", AT_RACQUET_TIP},
                    {"strings_middle", AT_STRINGS},
                    {"hand", AT_HIT_HAND},
                    {"elbow", AT_HIT_ELBOW}};
    json_open(j, "speed_at_touch", '{');
    for (int i = 0; i < 4; ++i) {
        put_speed(j, at_touch[i].key, c, serve_velocity(s, 0.0, at_touch[i].point));
    }
    json_close(j, '}');
    json_open(j, "peak_speed_before_touch", '{');
    for (int i = 0; i < 4; ++i) put_peak(j, at_touch[i].key, s, c, at_touch[i].point);
    json_close(j, '}');
    int contact = r->moments[MOMENT_CONTACT].frame;
    if (contact < 0) return;
    double when = r->frames[contact].points[AT_RACQUET_TIP].when;
    put_speed(j, "tip_speed_on_contact_frame", c, serve_velocity(s, when, AT_RACQUET_TIP));
}

static void put_ball(json *j, const serve *s, const camera *c, double mirror) {
    ball_state off = s->shot.state[0], down = flight_at(&s->shot, s->shot.bounce_time);
    json_open(j, "ball", '{');
    put_speed(j, "speed_off", c, vec(mirror * off.velocity.x, off.velocity.y, off.velocity.z));
    json_vector(j, "touch_at", vec(mirror * off.at.x, off.at.y, off.at.z));
    json_number(j, "contact_height_per_stature", off.at.z / s->motion.physique.stature_m);
    json_vector(j, "bounce_at", vec(mirror * down.at.x, down.at.y, 0.0));
    json_number(j, "touch_to_bounce_s", s->shot.bounce_time);
    json_number(j, "mean_speed_m_s", length(sub(down.at, off.at)) / s->shot.bounce_time);
    json_number(j, "drag_per_m", s->drag);
    json_number(j, "gravity_m_s2", GRAVITY);
    json_close(j, '}');
}

static void put_toss(json *j, const serve *s) {
    double apex = 0.0, apex_time = s->release_time;
    for (double t = s->release_time; t <= 0.0; t += 0.0005) {
        double z = flight_at(&s->toss, t).at.z;
        if (z > apex) {
            apex = z;
            apex_time = t;
        }
    }
    json_open(j, "toss", '{');
    json_number(j, "apex_height_m", apex);
    json_number(j, "apex_from_touch_s", apex_time);
    json_number(j, "fall_to_contact_m", apex - s->shot.state[0].at.z);
    json_close(j, '}');
}

static void put_tempo(json *j, const reel *r, double rate) {
    static const struct {
        const char *key;
        moment from, to;
    } spans[] = {{"release_to_trophy", MOMENT_RELEASE, MOMENT_TROPHY},
                 {"trophy_to_drop", MOMENT_TROPHY, MOMENT_DROP},
                 {"drop_to_contact", MOMENT_DROP, MOMENT_CONTACT},
                 {"contact_to_bounce", MOMENT_CONTACT, MOMENT_BOUNCE}};
    json_open(j, "tempo", '{');
    for (int i = 0; i < 4; ++i) {
        const reel_moment *a = &r->moments[spans[i].from], *b = &r->moments[spans[i].to];
        json_open(j, spans[i].key, '{');
        json_number(j, "exact_s", b->time - a->time);
        bool both = a->frame >= 0 && b->frame >= 0;
        json_number(j, "by_frames_s", both ? (b->frame - a->frame) / rate : NAN);
        json_close(j, '}');
    }
    json_close(j, '}');
}

/* The greatest distance between two places of the ears' middle, 0.10 s before to 0.05 s after the
 * touch. */
static void put_head(json *j, const serve *s, const camera *c) {
    enum { STEPS = 61 };
    vector at[STEPS];
    double space = 0.0, plane = 0.0;
    for (int i = 0; i < STEPS; ++i) {
        pose p;
        serve_pose(s, -0.10 + 0.15 * i / (STEPS - 1), &p);
        at[i] = blend(p.at[AT_OFF_EAR], p.at[AT_HIT_EAR], 0.5);
        for (int k = 0; k < i; ++k) {
            space = fmax(space, length(sub(at[i], at[k])));
            plane = fmax(plane, length(flat(c, sub(at[i], at[k]))));
        }
    }
    json_open(j, "head_shift", '{');
    json_number(j, "space_m", space);
    json_number(j, "plane_m", plane);
    json_close(j, '}');
}

void measures_of_serve(json *j, const serve *s, const reel *r, const camera *c) {
    double rate = r->count > 1 ? 1.0 / (r->frames[1].time - r->frames[0].time) : NAN;
    put_speeds(j, s, r, c);
    put_ball(j, s, c, s->left_handed ? -1.0 : 1.0);
    put_toss(j, s);
    put_tempo(j, r, rate);
    put_head(j, s, c);
}
