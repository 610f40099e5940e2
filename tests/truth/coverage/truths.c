#include "truths.h"

#include <string.h>

#define AT_MOST 6

typedef struct {
    const scene *scene;
    const tapping *tapping;
    bool by_court;
} subject;

/* --- as it is seen --------------------------------------------------------------------------- */
typedef struct {
    double right, up;
} flat;

static flat minus(flat a, flat b) { return (flat){a.right - b.right, a.up - b.up}; }
static flat middle(flat a, flat b) { return (flat){(a.right + b.right) / 2, (a.up + b.up) / 2}; }

static double between(flat a, flat b) {
    return degrees(atan2(fabs(a.right * b.up - a.up * b.right), a.right * b.right + a.up * b.up));
}

static double above_level(flat way) { return degrees(atan2(way.up, fabs(way.right))); }

/* Cast by the camera on the upright plane through the feet. */
static flat cast(const scene *s, vector at) {
    const vector way = scene_along(s), across = cross(way, vec(0.0, 0.0, 1.0));
    const vector ray = sub(at, s->camera.position);
    const double share = dot(sub(s->place, s->camera.position), across) / dot(ray, across);
    const vector met = along(s->camera.position, ray, share);
    return (flat){dot(sub(met, s->place), way), met.z};
}

static flat by_level_camera(const scene *s, vector at) {
    const vector ahead = unit(vec(s->camera.forward.x, s->camera.forward.y, 0.0));
    const vector right = cross(ahead, vec(0.0, 0.0, 1.0));
    const double side = dot(right, scene_along(s)) < 0.0 ? -1.0 : 1.0;
    const vector ray = sub(at, s->camera.position);
    return (flat){side * dot(ray, right) / dot(ray, ahead), ray.z / dot(ray, ahead)};
}

static flat seen(const subject *of, int frame, body_point point) {
    const vector at = scene_place(of->scene, frame, point);
    return of->by_court ? cast(of->scene, at) : by_level_camera(of->scene, at);
}

/* --- angles ---------------------------------------------------------------------------------- */
typedef double angle_of(const flat *at, double lean);

static double included(const flat *at, double lean) {
    (void)lean;
    return between(minus(at[0], at[1]), minus(at[2], at[1]));
}

static double to_trunk(const flat *at, double lean) {
    (void)lean;
    return between(minus(at[1], at[0]), minus(middle(at[3], at[4]), middle(at[0], at[2])));
}

static double to_level(const flat *at, double lean) {
    (void)lean;
    return above_level(minus(at[1], at[0]));
}

static double to_plumb(const flat *at, double lean) {
    (void)lean;
    return between(minus(at[1], at[0]), (flat){0.0, 1.0});
}

static double two_lines(const flat *at, double lean) {
    (void)lean;
    return between(minus(at[1], at[0]), minus(at[3], at[2]));
}

static double leaning(const flat *at, double lean) {
    const flat trunk = minus(middle(at[0], at[1]), middle(at[2], at[3]));
    return degrees(atan2(lean * trunk.right, trunk.up));
}

static double beside(const flat *at, double lean) {
    (void)lean;
    return between(minus(at[5], at[4]), minus(middle(at[2], at[3]), middle(at[0], at[1])));
}

#define TROPHY 1u
#define DROP 2u
#define CONTACT 4u

static const struct {
    const char *id;
    unsigned moments;
    angle_of *angle;
    body_point points[AT_MOST];
} angles[] = {
    {"elbow_angle",
     TROPHY | DROP | CONTACT,
     included,
     {AT_HIT_SHOULDER, AT_HIT_ELBOW, AT_HIT_HAND}},
    {"upper_arm_elevation",
     TROPHY | CONTACT,
     to_trunk,
     {AT_HIT_SHOULDER, AT_HIT_ELBOW, AT_OFF_SHOULDER, AT_HIT_HIP, AT_OFF_HIP}},
    {"upper_arm_to_horizontal", TROPHY | CONTACT, to_level, {AT_HIT_SHOULDER, AT_HIT_ELBOW}},
    {"forearm_to_plumb", TROPHY | DROP | CONTACT, to_plumb, {AT_HIT_ELBOW, AT_HIT_HAND}},
    {"racquet_to_plumb", TROPHY | DROP | CONTACT, to_plumb, {AT_RACQUET_BUTT, AT_RACQUET_TIP}},
    {"racquet_to_forearm",
     TROPHY | DROP | CONTACT,
     two_lines,
     {AT_HIT_ELBOW, AT_HIT_HAND, AT_RACQUET_BUTT, AT_RACQUET_TIP}},
    {"trunk_lean",
     TROPHY | CONTACT,
     leaning,
     {AT_HIT_SHOULDER, AT_OFF_SHOULDER, AT_HIT_HIP, AT_OFF_HIP}},
    {"shoulder_tilt", TROPHY | CONTACT, to_level, {AT_OFF_SHOULDER, AT_HIT_SHOULDER}},
    {"hip_tilt", TROPHY | CONTACT, to_level, {AT_OFF_HIP, AT_HIT_HIP}},
    {"tossing_arm_to_horizontal", TROPHY, to_level, {AT_OFF_SHOULDER, AT_OFF_HAND}},
    {"knee_angle_front", TROPHY, included, {AT_OFF_HIP, AT_OFF_KNEE, AT_OFF_ANKLE}},
    {"knee_angle_rear", TROPHY, included, {AT_HIT_HIP, AT_HIT_KNEE, AT_HIT_ANKLE}},
    {"racquet_beside_body_angle",
     DROP,
     beside,
     {AT_HIT_SHOULDER, AT_OFF_SHOULDER, AT_HIT_HIP, AT_OFF_HIP, AT_RACQUET_BUTT, AT_RACQUET_TIP}},
};

static double angle_at(const subject *of, size_t row, int frame) {
    flat at[AT_MOST];
    for (int i = 0; i < AT_MOST; ++i) at[i] = seen(of, frame, angles[row].points[i]);
    return angles[row].angle(at, of->scene->view == VIEW_SIDE ? 1.0 : -1.0);
}

static int add_angles(const subject *of, truth *list) {
    static const char *const names[] = {"trophy", "drop", "contact"};
    const moments *at = &of->tapping->at;
    const int frames[] = {at->trophy, at->drop, at->contact};
    int count = 0;
    for (size_t row = 0; row < sizeof angles / sizeof *angles; ++row)
        for (unsigned m = 0; m < 3; ++m)
            if ((angles[row].moments & 1u << m) != 0)
                list[count++] = (truth){angles[row].id, names[m], angle_at(of, row, frames[m])};
    return count;
}

/* --- heights and lengths --------------------------------------------------------------------- */
static double height(const subject *of, int frame, body_point point) {
    return scene_place(of->scene, frame, point).z;
}

/* Of a way in space what lies in the plane of motion. */
static flat in_plane(const scene *s, vector way) { return (flat){dot(way, scene_along(s)), way.z}; }

static double distance(const subject *of, int frame, body_point a, body_point b) {
    const scene *s = of->scene;
    const flat way = in_plane(s, sub(scene_place(s, frame, a), scene_place(s, frame, b)));
    return hypot(way.right, way.up);
}

static double longest_forearm(const subject *of) {
    const moments *at = &of->tapping->at;
    const int frames[] = {at->release, at->trophy, at->drop, at->contact};
    double longest = 0.0;
    for (int i = 0; i < 4; ++i)
        longest = fmax(longest, distance(of, frames[i], AT_HIT_ELBOW, AT_HIT_HAND));
    return longest;
}

/* Of the tip from the line hip to shoulder, to the hitting side. */
static double beside_body(const subject *of) {
    const scene *s = of->scene;
    const int drop = of->tapping->at.drop;
    const vector hip = scene_place(s, drop, AT_HIT_HIP);
    const flat edge = in_plane(s, sub(scene_place(s, drop, AT_HIT_SHOULDER), hip));
    const flat tip = in_plane(s, sub(scene_place(s, drop, AT_RACQUET_TIP), hip));
    return (tip.right * edge.up - tip.up * edge.right) / hypot(edge.right, edge.up);
}

static double head_shift(const scene *s) {
    enum { STEPS = 31 };
    flat at[STEPS];
    double most = 0.0;
    for (int i = 0; i < STEPS; ++i) {
        at[i] = in_plane(s, scene_point(s, -0.10 + 0.15 * i / (STEPS - 1), AT_HIT_EAR));
        for (int k = 0; k < i; ++k)
            most = fmax(most, hypot(at[i].right - at[k].right, at[i].up - at[k].up));
    }
    return most;
}

static double front_toe(const subject *of) {
    return in_plane(of->scene, scene_place(of->scene, of->tapping->at.trophy, AT_OFF_TOE)).right;
}

static int add_lengths(const subject *of, truth *list) {
    const scene *s = of->scene;
    const int drop = of->tapping->at.drop, contact = of->tapping->at.contact;
    const double elbow = height(of, drop, AT_HIT_ELBOW), tip = height(of, drop, AT_RACQUET_TIP);
    const double hips = 0.5 * (height(of, drop, AT_HIT_HIP) + height(of, drop, AT_OFF_HIP));
    const double gap = height(of, drop, AT_HIT_HAND) - elbow, ball = height(of, contact, AT_BALL);
    const double met = in_plane(s, scene_place(s, contact, AT_BALL)).right;
    const double overhang = distance(of, of->tapping->at.trophy, AT_HAND_HEEL, AT_RACQUET_BUTT);
    const truth all[] = {
        {"hand_elbow_gap", "drop", gap},
        {"tip_height_at_drop", "drop", tip - elbow},
        {"tip_height_to_hips", "drop", tip - hips},
        {"contact_height", "contact", ball},
        {"contact_height_ratio", "contact", ball / s->serve.motion.physique.stature_m},
        {"hand_elbow_gap_ratio", "drop", gap / longest_forearm(of)},
        {"racquet_beside_body", "drop", beside_body(of)},
        {"grip_overhang", "trophy", overhang},
        {"head_shift", "contact", head_shift(s)},
        {"contact_ahead", "contact", met - front_toe(of)},
    };
    memcpy(list, all, sizeof all);
    return (int)(sizeof all / sizeof *all);
}

/* --- toss and times -------------------------------------------------------------------------- */
static double apex(const scene *s) {
    double low = s->serve.release_time, high = 0.0;
    for (int i = 0; i < 60; ++i) {
        const double half = 0.5 * (low + high);
        if (scene_velocity(s, half, AT_BALL).z > 0.0) {
            low = half;
        } else {
            high = half;
        }
    }
    return scene_point(s, low, AT_BALL).z;
}

static int add_toss_and_times(const subject *of, truth *list) {
    const scene *s = of->scene;
    const double high = apex(s), release = s->serve.release_time, lowest = s->serve.drop_time;
    const double landing = in_plane(s, scene_toss_landing(s)).right;
    const truth all[] = {
        {"toss_apex", "release", high - height(of, of->tapping->at.release, AT_BALL)},
        {"toss_drop_to_contact", "contact", high - scene_point(s, -1e-9, AT_BALL).z},
        {"toss_landing_ahead", "release", landing - front_toe(of)},
        {"release_to_trophy", "", TROPHY_TIME - release},
        {"trophy_to_drop", "", lowest - TROPHY_TIME},
        {"drop_to_contact", "", -lowest},
        {"upswing_to_drop_time", "", -lowest / (lowest - TROPHY_TIME)},
    };
    memcpy(list, all, sizeof all);
    return (int)(sizeof all / sizeof *all);
}

/* --- speeds ---------------------------------------------------------------------------------- */
static double speed(const scene *s, double time, body_point point) {
    const flat way = in_plane(s, scene_velocity(s, time, point));
    return hypot(way.right, way.up);
}

/* From the drop to the touch. */
static double highest_speed(const scene *s, body_point point) {
    double highest = 0.0;
    for (double t = s->serve.drop_time; t < 0.0; t += 0.0005)
        highest = fmax(highest, speed(s, t, point));
    return fmax(highest, speed(s, -1e-9, point));
}

static int add_speeds(const subject *of, truth *list) {
    const scene *s = of->scene;
    const double tip = speed(s, -1e-9, AT_RACQUET_TIP), ball = speed(s, 1e-9, AT_BALL);
    const double peak = highest_speed(s, AT_RACQUET_TIP);
    const truth all[] = {
        {"racquet_head_speed", "contact", tip},
        {"racquet_head_speed_peak", "contact", peak},
        {"hand_speed", "contact", highest_speed(s, AT_HIT_HAND)},
        {"elbow_speed", "contact", highest_speed(s, AT_HIT_ELBOW)},
        {"ball_speed_off", "contact", ball},
        {"ball_speed_flight", "contact", length(scene_velocity(s, 1e-9, AT_BALL))},
        {"tip_speed_kept", "contact", tip / peak},
        {"ball_to_tip_speed", "contact", ball / tip},
    };
    memcpy(list, all, sizeof all);
    return (int)(sizeof all / sizeof *all);
}

int truths_of(const scene *s, const tapping *t, bool by_court, truth list[TRUTHS_MAX]) {
    const subject of = {s, t, by_court};
    int count = add_lengths(&of, list);
    count += add_toss_and_times(&of, list + count);
    count += add_speeds(&of, list + count);
    return count + add_angles(&of, list + count);
}

/* What lies nearer is cast larger, and what comes nearer moves on in the plane. */
double truths_cast_speed(const scene *s) {
    const double h = 1e-5;
    const flat before = cast(s, scene_point(s, -h, AT_RACQUET_TIP));
    const flat now = cast(s, scene_point(s, -1e-9, AT_RACQUET_TIP));
    return hypot(now.right - before.right, now.up - before.up) / h;
}
