#include "body.h"

#include <stddef.h>

/* How the racquet lies in the hand, from memory of the continental grip: the handle leaves the fist
 * toward the thumb, and its face is turned from the palm. */
static const double handle_to_thumb = 0.80;
static const double face_from_palm = 0.35;
static const double knuckle_to_butt = 0.078;

/* An upright part of the body: turned from the net to the hitting side, then leaned. */
static triad leaned(double turn_angle, double lean_net, double lean_off) {
    vector up = unit(vec(-tan(lean_off), tan(lean_net), 1.0));
    vector right = vec(cos(turn_angle), -sin(turn_angle), 0.0);
    right = unit(along(right, up, -dot(right, up)));
    return (triad){right, cross(up, right), up};
}

static void trunk(const physique *b, const double v[], pose *p) {
    double h = b->stature_m;
    p->pelvis = leaned(v[PELVIS_TURN], v[PELVIS_LEAN_NET], v[PELVIS_LEAN_OFF]);
    p->chest = leaned(v[CHEST_TURN], v[CHEST_LEAN_NET], v[CHEST_LEAN_OFF]);
    p->at[AT_PELVIS] = vec(v[PELVIS_X], v[PELVIS_Y], v[PELVIS_Z]);
    p->at[AT_HIT_HIP] = along(p->at[AT_PELVIS], p->pelvis.right, HALF_HIPS * h);
    p->at[AT_OFF_HIP] = along(p->at[AT_PELVIS], p->pelvis.right, -HALF_HIPS * h);
    p->at[AT_WAIST] = along(p->at[AT_PELVIS], p->pelvis.up, LOWER_TRUNK * h);
    p->at[AT_NECK] = along(p->at[AT_WAIST], p->chest.up, (TRUNK - LOWER_TRUNK) * h);
}

static vector in_head(const pose *p, double right, double front, double up, double size) {
    vector at = along(p->at[AT_HEAD], p->head.right, right * size);
    return along(along(at, p->head.front, front * size), p->head.up, up * size);
}

static void head(const physique *b, const double v[], pose *p) {
    double h = b->stature_m;
    triad neck = leaned(v[HEAD_TURN], v[NECK_LEAN_NET], v[NECK_LEAN_OFF]);
    p->at[AT_HEAD] = along(p->at[AT_NECK], neck.up, NECK * h);
    p->head.right = neck.right;
    p->head.front = turn(neck.front, neck.up, v[HEAD_RAISE]);
    p->head.up = cross(p->head.right, p->head.front);
    p->at[AT_NOSE] = in_head(p, 0.0, 0.061, -0.008, h);
    p->at[AT_HIT_EYE] = in_head(p, 0.018, 0.047, 0.008, h);
    p->at[AT_OFF_EYE] = in_head(p, -0.018, 0.047, 0.008, h);
    p->at[AT_HIT_EAR] = in_head(p, 0.042, -0.004, 0.0, h);
    p->at[AT_OFF_EAR] = in_head(p, -0.042, -0.004, 0.0, h);
}

typedef struct {
    vector shoulder, elbow, wrist, knuckle;
    vector hand, thumb, palm; /* unit: along the hand, to the thumb's side, out of the palm */
} arm;

/* The seven keyed angles of an arm, in the order of the channels from LIFT on. */
static arm arm_chain(const physique *b, const pose *p, const double v[], double side) {
    double h = b->stature_m;
    vector out = scale(p->chest.right, side), front = p->chest.front, up = p->chest.up;
    arm a;
    a.shoulder = along(p->at[AT_NECK], turn(out, up, v[0]), HALF_SHOULDERS * h);

    vector upper = turn(scale(up, -1.0), turn(out, front, v[2]), v[1]);
    vector fold = turn(carry(front, out, upper), carry(up, out, upper), v[3]);
    vector lower = turn(upper, fold, v[4]);
    a.elbow = along(a.shoulder, upper, UPPER_ARM * h);
    a.wrist = along(a.elbow, lower, FOREARM * h);

    vector inside = turn(fold, scale(upper, -1.0), v[4]);
    vector lateral = scale(cross(upper, fold), side);
    vector thumb = turn(lateral, inside, v[5]);
    vector palm = turn(inside, scale(lateral, -1.0), v[5]);
    vector straight = turn(lower, thumb, v[7]);
    a.thumb = turn(thumb, scale(lower, -1.0), v[7]);
    a.hand = turn(straight, palm, v[6]);
    a.palm = turn(palm, scale(straight, -1.0), v[6]);
    a.knuckle = along(a.wrist, a.hand, HAND * h);
    return a;
}

static void hitting_arm(const physique *b, const double v[], pose *p) {
    arm a = arm_chain(b, p, v + HIT_LIFT, 1.0);
    p->at[AT_HIT_SHOULDER] = a.shoulder;
    p->at[AT_HIT_ELBOW] = a.elbow;
    p->at[AT_HIT_WRIST] = a.wrist;
    p->at[AT_HIT_HAND] = a.knuckle;
    p->at[AT_HIT_GRIP] = along(along(a.knuckle, a.palm, 0.028), a.hand, -0.008);

    vector axis = turn(a.hand, a.thumb, handle_to_thumb);
    vector across = turn(a.thumb, scale(a.hand, -1.0), handle_to_thumb);
    p->racquet.up = axis;
    p->racquet.front = turn(a.palm, across, face_from_palm);
    p->racquet.right = cross(p->racquet.front, axis);
    vector butt = along(p->at[AT_HIT_GRIP], axis, -knuckle_to_butt);
    p->at[AT_RACQUET_BUTT] = butt;
    p->at[AT_HAND_HEEL] = along(butt, axis, b->overhang_m);
    p->at[AT_RACQUET_TIP] = along(butt, axis, b->racquet_m);
    p->at[AT_STRINGS] = along(butt, axis, b->racquet_m - STRINGS_FROM_TIP_M);
}

static void tossing_arm(const physique *b, const double v[], pose *p) {
    arm a = arm_chain(b, p, v + OFF_LIFT, -1.0);
    p->at[AT_OFF_SHOULDER] = a.shoulder;
    p->at[AT_OFF_ELBOW] = a.elbow;
    p->at[AT_OFF_WRIST] = a.wrist;
    p->at[AT_OFF_HAND] = a.knuckle;
    p->at[AT_OFF_FINGERS] = along(a.knuckle, a.hand, 0.045 * b->stature_m);
    p->at[AT_TOSSED] = along(along(a.knuckle, a.hand, 0.045), a.palm, BALL_RADIUS_M + 0.012);
    p->off_palm = a.palm;
}

/* Ankle above a toe that stands at `toe`, the heel raised by `heel`. */
static void foot(const physique *b, vector toe, double heel, double foot_turn, vector *ankle,
                 vector *heel_at) {
    double h = b->stature_m;
    vector ahead = vec(sin(foot_turn), cos(foot_turn), 0.0);
    vector back = turn(scale(ahead, -1.0), vec(0.0, 0.0, 1.0), heel);
    vector high = turn(vec(0.0, 0.0, 1.0), ahead, heel);
    *ankle = along(along(toe, back, ANKLE_TO_TOE * h), high, (ANKLE_HEIGHT - TOE_HEIGHT) * h);
    *heel_at = along(along(toe, back, (ANKLE_TO_TOE + ANKLE_TO_HEEL) * h), high, 0.0);
}

/* The knee between hip and ankle, bent toward `pole`; the ankle is pulled in when out of reach. */
static bool knee_between(const physique *b, vector hip, vector *ankle, vector pole, vector *knee) {
    double thigh = THIGH * b->stature_m, shank = SHANK * b->stature_m;
    vector line = sub(*ankle, hip);
    double reach = length(line), most = 0.9995 * (thigh + shank);
    bool fits = reach <= most;
    vector down = scale(line, 1.0 / reach);
    if (!fits) reach = most;
    *ankle = along(hip, down, reach);
    double c = (thigh * thigh + reach * reach - shank * shank) / (2.0 * thigh * reach);
    vector bend = unit(along(pole, down, -dot(pole, down)));
    *knee = along(along(hip, down, thigh * c), bend, thigh * sqrt(1.0 - c * c));
    return fits;
}

/* `v` starts at the channel TOE_X of that side. */
static bool leg(const physique *b, const double v[], body_point hip, body_point knee,
                body_point ankle, body_point toe, body_point heel, pose *p) {
    vector planned = vec(v[0], v[1], v[2]), ankle_at, heel_at;
    foot(b, planned, v[3], v[4], &ankle_at, &heel_at);
    vector reached = ankle_at, pole = vec(sin(v[5]), cos(v[5]), 0.25);
    bool fits = knee_between(b, p->at[hip], &reached, pole, &p->at[knee]);
    vector shift = sub(reached, ankle_at);
    p->at[ankle] = reached;
    p->at[toe] = add(planned, shift);
    p->at[heel] = add(heel_at, shift);
    return fits;
}

bool body_pose(const physique *b, const double v[CHANNEL_COUNT], pose *p) {
    *p = (pose){0};
    trunk(b, v, p);
    head(b, v, p);
    hitting_arm(b, v, p);
    tossing_arm(b, v, p);
    bool off =
        leg(b, v + OFF_TOE_X, AT_OFF_HIP, AT_OFF_KNEE, AT_OFF_ANKLE, AT_OFF_TOE, AT_OFF_HEEL, p);
    bool hit =
        leg(b, v + HIT_TOE_X, AT_HIT_HIP, AT_HIT_KNEE, AT_HIT_ANKLE, AT_HIT_TOE, AT_HIT_HEEL, p);
    return off && hit;
}

static void mirror_triad(triad *t) {
    t->right.x = -t->right.x;
    t->front.x = -t->front.x;
    t->up.x = -t->up.x;
}

void body_mirror(pose *p) {
    for (size_t i = 0; i < POINT_COUNT; ++i) p->at[i].x = -p->at[i].x;
    mirror_triad(&p->pelvis);
    mirror_triad(&p->chest);
    mirror_triad(&p->head);
    mirror_triad(&p->racquet);
    p->off_palm.x = -p->off_palm.x;
}

static const char *const right_handed_id[NAMED_POINTS] = {
    "nose",          "left_eye",       "right_eye",   "left_ear",    "right_ear",
    "left_shoulder", "right_shoulder", "left_elbow",  "right_elbow", "left_wrist",
    "right_wrist",   "left_hip",       "right_hip",   "left_knee",   "right_knee",
    "left_ankle",    "right_ankle",    "left_hand",   "right_hand",  "left_toe",
    "right_toe",     "racquet_butt",   "racquet_tip", "hand_heel",   "ball"};

const char *body_point_id(body_point point, bool left_handed) {
    bool paired = point >= AT_OFF_EYE && point <= AT_HIT_TOE;
    /* The pairs begin with an odd index: off, then hit. */
    if (left_handed && paired) return right_handed_id[point % 2 ? point + 1 : point - 1];
    return right_handed_id[point];
}
