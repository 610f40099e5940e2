#include "figure.h"

#include <assert.h>

static const uint32_t skin = 0xC98B62, skin_dark = 0xB57850, hair = 0x3A2A24, cap = 0xE8E2D6;
static const uint32_t shirt = 0xF3EEE3, stripe = 0xE2603F, shorts = 0x27365A, sock = 0xF1EDE4;
static const uint32_t shoe = 0xF6F3EC, sole = 0xE2603F, band = 0xE2603F, eye = 0x241A18;
static const uint32_t frame_ink = 0x3DB9C4, string_ink = 0xF5F2E6, handle_ink = 0x2B2A2E;
static const uint32_t ball_ink = 0xDDF04A;

static shape *add_shape(figure *f, shape_kind kind, part where, int layer, uint32_t colour,
                        const disc *discs, size_t count) {
    assert(f->disc_count + count <= DISCS_MAX && f->shape_count < SHAPES_MAX);
    shape *s = &f->shapes[f->shape_count++];
    *s = (shape){kind, where, layer, ink_of(colour), 1.0, f->disc_count, count};
    for (size_t i = 0; i < count; ++i) f->discs[f->disc_count++] = discs[i];
    return s;
}

#define HULL(f, where, layer, colour, ...)                                                         \
    add_shape(f, SHAPE_HULL, where, layer, colour, (disc[]){__VA_ARGS__},                          \
              sizeof((disc[]){__VA_ARGS__}) / sizeof(disc))

static disc at(vector centre, double radius) { return (disc){centre, radius}; }

/* A point beside the middle of a frame of the body. */
static vector beside(vector from, const triad *t, double right, double front, double up) {
    return along(along(along(from, t->right, right), t->front, front), t->up, up);
}

typedef struct {
    body_point hip, knee, ankle, toe, heel;
    part part;
} leg_points;

static void shoe_shapes(const pose *p, const leg_points *l, double z, figure *f) {
    vector toe = p->at[l->toe], heel = p->at[l->heel], ankle = p->at[l->ankle];
    vector ahead = unit(sub(toe, heel));
    vector high = unit(sub(sub(ankle, heel), scale(ahead, dot(sub(ankle, heel), ahead))));
    vector ball = blend(heel, toe, 0.70);
    HULL(f, l->part, 3, sole, at(along(heel, high, 0.004 * z), 0.022 * z),
         at(along(ball, high, 0.0), 0.022 * z), at(along(toe, ahead, -0.022 * z), 0.020 * z));
    HULL(f, l->part, 4, shoe,
         at(beside(heel, &(triad){ahead, ahead, high}, 0.004, 0.0, 0.030), 0.030 * z),
         at(along(ankle, high, -0.012 * z), 0.036 * z), at(along(ball, high, 0.026 * z), 0.030 * z),
         at(along(along(toe, ahead, -0.026 * z), high, 0.014 * z), 0.022 * z));
}

static void leg_shapes(const pose *p, const leg_points *l, double z, figure *f) {
    vector hip = p->at[l->hip], knee = p->at[l->knee], ankle = p->at[l->ankle];
    vector straight = unit(sub(ankle, hip));
    vector bend = sub(sub(knee, hip), scale(straight, dot(sub(knee, hip), straight)));
    double bent = length(bend);
    vector behind = bent > 1e-4 ? scale(bend, -1.0 / bent) : vec(0.0, 0.0, 0.0);
    vector calf = along(blend(knee, ankle, 0.30), behind, 0.014 * z);
    HULL(f, l->part, 0, skin, at(knee, 0.053 * z), at(calf, 0.055 * z), at(ankle, 0.035 * z));
    HULL(f, l->part, 1, sock, at(blend(knee, ankle, 0.70), 0.047 * z), at(ankle, 0.041 * z));
    shoe_shapes(p, l, z, f);
    HULL(f, l->part, 5, skin, at(blend(hip, knee, 0.3), 0.078 * z), at(knee, 0.056 * z));
    HULL(f, l->part, 6, skin_dark, at(along(knee, behind, -0.008 * z), 0.032 * z))->alpha = 0.5;
    HULL(f, l->part, 7, shorts, at(hip, 0.098 * z), at(blend(hip, knee, 0.60), 0.083 * z));
}

static void trunk_shapes(const pose *p, double z, figure *f) {
    const triad *c = &p->chest, *h = &p->pelvis;
    vector hips = p->at[AT_PELVIS], waist = p->at[AT_WAIST], neck = p->at[AT_NECK];
    vector hit = blend(p->at[AT_HIT_SHOULDER], neck, 0.10);
    vector off = blend(p->at[AT_OFF_SHOULDER], neck, 0.10);
    HULL(f, PART_TRUNK, 0, shorts, at(beside(hips, h, 0.070 * z, 0.0, 0.01), 0.108 * z),
         at(beside(hips, h, -0.070 * z, 0.0, 0.01), 0.108 * z),
         at(beside(waist, h, 0.060 * z, 0.0, -0.06 * z), 0.100 * z),
         at(beside(waist, h, -0.060 * z, 0.0, -0.06 * z), 0.100 * z));
    HULL(f, PART_TRUNK, 1, skin, at(along(neck, c->up, -0.02), 0.055 * z),
         at(blend(neck, p->at[AT_HEAD], 0.55), 0.050 * z));
    HULL(f, PART_TRUNK, 2, shirt, at(off, 0.066 * z), at(hit, 0.066 * z),
         at(along(neck, c->up, 0.0), 0.068 * z),
         at(beside(neck, c, 0.075 * z, 0.02, -0.17 * z), 0.110 * z),
         at(beside(neck, c, -0.075 * z, 0.02, -0.17 * z), 0.110 * z),
         at(beside(waist, h, 0.052 * z, 0.0, -0.075 * z), 0.104 * z),
         at(beside(waist, h, -0.052 * z, 0.0, -0.075 * z), 0.104 * z));
}

/* Which of two shapes is over the other, seen from the viewer's side. */
static int over(bool facing, int when_facing, int when_not) {
    return facing ? when_facing : when_not;
}

static void face_shapes(const pose *p, vector to_viewer, double z, figure *f) {
    const triad *h = &p->head;
    vector middle = p->at[AT_HEAD];
    HULL(f, PART_HEAD, 2, skin, at(beside(middle, h, 0.0, 0.016 * z, 0.018 * z), 0.088 * z),
         at(beside(middle, h, 0.0, 0.030 * z, -0.070 * z), 0.052 * z));
    HULL(f, PART_HEAD, 3, skin, at(along(p->at[AT_NOSE], h->front, -0.014 * z), 0.014 * z),
         at(beside(p->at[AT_NOSE], h, 0.0, -0.03 * z, 0.03 * z), 0.010 * z));
    double faces = dot(h->front, to_viewer), ear = dot(h->right, to_viewer);
    HULL(f, PART_HEAD, ear > 0.15 ? 6 : -1, skin_dark, at(p->at[AT_HIT_EAR], 0.021 * z));
    HULL(f, PART_HEAD, ear < -0.15 ? 6 : -1, skin_dark, at(p->at[AT_OFF_EAR], 0.021 * z));
    HULL(f, PART_HEAD, faces + 0.5 * ear > 0.1 ? 4 : -1, eye, at(p->at[AT_HIT_EYE], 0.010 * z));
    HULL(f, PART_HEAD, faces - 0.5 * ear > 0.1 ? 4 : -1, eye, at(p->at[AT_OFF_EYE], 0.010 * z));
}

/* Seen from the front, the face hides the lower part of the cap. */
static void cap_shapes(const pose *p, double faces, double z, figure *f) {
    const triad *h = &p->head;
    vector middle = p->at[AT_HEAD];
    HULL(f, PART_HEAD, over(faces > 0.35, 1, 7), cap,
         at(beside(middle, h, 0.0, -0.012 * z, 0.050 * z), 0.088 * z),
         at(beside(middle, h, 0.0, 0.010 * z, 0.052 * z), 0.084 * z));
    HULL(f, PART_HEAD, over(faces > 0.35, 7, -1), cap,
         at(beside(middle, h, 0.034 * z, 0.030 * z, 0.072 * z), 0.050 * z),
         at(beside(middle, h, -0.034 * z, 0.030 * z, 0.072 * z), 0.050 * z),
         at(beside(middle, h, 0.0, 0.0, 0.080 * z), 0.056 * z));
    disc visor[7];
    for (int i = 0; i < 7; ++i) {
        double turned = radians(-90.0 + 30.0 * i);
        double out = 0.085 + 0.085 * cos(turned);
        visor[i] = at(
            beside(middle, h, 0.080 * z * sin(turned), out * z, (0.046 - 0.01 * cos(turned)) * z),
            0.006 * z);
    }
    add_shape(f, SHAPE_HULL, PART_HEAD, over(faces > -0.2, 8, 0), stripe, visor, 7);
}

static void head_shapes(const pose *p, vector viewer, double z, figure *f) {
    const triad *h = &p->head;
    vector middle = p->at[AT_HEAD], to_viewer = unit(sub(viewer, middle));
    double faces = dot(h->front, to_viewer);
    HULL(f, PART_HEAD, over(faces > 0.0, 0, 5), hair,
         at(beside(middle, h, 0.0, -0.022 * z, 0.012 * z), 0.098 * z),
         at(beside(middle, h, 0.0, -0.034 * z, -0.040 * z), 0.070 * z));
    face_shapes(p, to_viewer, z, f);
    cap_shapes(p, faces, z, f);
}

typedef struct {
    body_point shoulder, elbow, wrist, hand;
    part part;
} arm_points;

static void arm_shapes(const pose *p, const arm_points *a, double z, figure *f) {
    vector shoulder = p->at[a->shoulder], elbow = p->at[a->elbow], wrist = p->at[a->wrist];
    HULL(f, a->part, 0, skin, at(elbow, 0.040 * z), at(blend(elbow, wrist, 0.25), 0.043 * z),
         at(wrist, 0.028 * z));
    HULL(f, a->part, 1, skin, at(blend(shoulder, elbow, 0.3), 0.050 * z), at(elbow, 0.041 * z));
    HULL(f, a->part, 2, skin_dark, at(elbow, 0.027 * z))->alpha = 0.5;
    HULL(f, a->part, 3, stripe, at(shoulder, 0.050 * z),
         at(blend(shoulder, elbow, 0.55), 0.0575 * z));
    HULL(f, a->part, 4, shirt, at(shoulder, 0.068 * z),
         at(blend(shoulder, elbow, 0.49), 0.060 * z));
    bool hits = a->part == PART_HIT_ARM;
    HULL(f, a->part, hits ? 5 : -1, band, at(blend(elbow, wrist, 0.78), 0.036 * z),
         at(blend(elbow, wrist, 0.98), 0.034 * z));
}

static void hand_shapes(const pose *p, double z, figure *f) {
    HULL(f, PART_OFF_ARM, 6, skin, at(p->at[AT_OFF_WRIST], 0.027 * z),
         at(p->at[AT_OFF_HAND], 0.034 * z), at(p->at[AT_OFF_FINGERS], 0.016 * z));
    vector grip = p->at[AT_HIT_GRIP], axis = p->racquet.up;
    HULL(f, PART_HANDLE, 4, skin, at(p->at[AT_HIT_WRIST], 0.026 * z),
         at(p->at[AT_HIT_HAND], 0.030 * z), at(along(grip, axis, -0.032), 0.026 * z),
         at(along(grip, axis, 0.034), 0.026 * z));
}

/* On the ellipse of the racquet's head; the angle from its tip to the hitting side. */
static vector on_head(const pose *p, double angle, double grow) {
    const double half_long = STRINGS_FROM_TIP_M - 0.009, half_wide = 0.124;
    return beside(p->at[AT_STRINGS], &p->racquet, half_wide * grow * sin(angle), 0.0,
                  half_long * grow * cos(angle));
}

static void string_line(const pose *p, double from, double to, figure *f) {
    add_shape(f, SHAPE_LINE, PART_STRINGS, 1, string_ink,
              (disc[]){at(on_head(p, from, 1.0), 0.0011), at(on_head(p, to, 1.0), 0.0011)}, 2)
        ->alpha = 0.8;
}

static void racquet_shapes(const pose *p, double racquet_m, figure *f) {
    enum { AROUND = 32 };
    disc ring[AROUND];
    for (int i = 0; i < AROUND; ++i) {
        ring[i] = at(on_head(p, 2.0 * M_PI * i / AROUND, 1.0), 0.0095);
    }
    add_shape(f, SHAPE_FACE, PART_STRINGS, 0, string_ink, ring, AROUND)->alpha = 0.13;
    for (int i = 1; i < 8; ++i) string_line(p, acos(1.0 - i / 4.0), -acos(1.0 - i / 4.0), f);
    for (int i = 1; i < 7; ++i) {
        double side = asin(-1.0 + i / 3.5);
        string_line(p, side, M_PI - side, f);
    }
    add_shape(f, SHAPE_RING, PART_STRINGS, 2, frame_ink, ring, AROUND);
    vector butt = p->at[AT_RACQUET_BUTT], axis = p->racquet.up;
    vector throat = along(butt, axis, racquet_m - 0.43);
    const double foot_angle = radians(152.0);
    for (int side = -1; side <= 1; side += 2) {
        add_shape(f, SHAPE_LINE, PART_STRINGS, 3, frame_ink,
                  (disc[]){at(on_head(p, side * foot_angle, 1.0), 0.0085), at(throat, 0.0095)}, 2);
    }
    vector collar = along(butt, axis, 0.21);
    HULL(f, PART_HANDLE, 0, frame_ink, at(throat, 0.0115), at(collar, 0.0130));
    HULL(f, PART_HANDLE, 1, handle_ink, at(collar, 0.0150), at(along(butt, axis, 0.016), 0.0160));
    HULL(f, PART_HANDLE, 2, handle_ink, at(along(butt, axis, 0.018), 0.0190),
         at(along(butt, axis, 0.010), 0.0190));
}

static void place_parts(const pose *p, figure *f) {
    f->anchor[PART_OFF_LEG] = blend(p->at[AT_OFF_KNEE], p->at[AT_OFF_HIP], 0.3);
    f->anchor[PART_HIT_LEG] = blend(p->at[AT_HIT_KNEE], p->at[AT_HIT_HIP], 0.3);
    f->anchor[PART_TRUNK] = blend(p->at[AT_WAIST], p->at[AT_NECK], 0.4);
    f->nearer[PART_TRUNK] = 0.10;
    f->anchor[PART_HEAD] = p->at[AT_HEAD];
    f->nearer[PART_HEAD] = 0.12;
    f->anchor[PART_OFF_ARM] = p->at[AT_OFF_ELBOW];
    f->anchor[PART_HIT_ARM] = p->at[AT_HIT_ELBOW];
    f->anchor[PART_STRINGS] = p->at[AT_STRINGS];
    f->anchor[PART_HANDLE] = p->at[AT_HIT_GRIP];
    f->nearer[PART_HANDLE] = 0.05;
    f->anchor[PART_BALL] = p->at[AT_BALL];
    f->nearer[PART_BALL] = 0.02;
}

void figure_build(const pose *p, vector viewer, double z, figure *f) {
    f->disc_count = f->shape_count = 0;
    for (part i = 0; i < PART_COUNT; ++i) f->nearer[i] = 0.0;
    place_parts(p, f);
    leg_shapes(
        p,
        &(leg_points){AT_OFF_HIP, AT_OFF_KNEE, AT_OFF_ANKLE, AT_OFF_TOE, AT_OFF_HEEL, PART_OFF_LEG},
        z, f);
    leg_shapes(
        p,
        &(leg_points){AT_HIT_HIP, AT_HIT_KNEE, AT_HIT_ANKLE, AT_HIT_TOE, AT_HIT_HEEL, PART_HIT_LEG},
        z, f);
    trunk_shapes(p, z, f);
    head_shapes(p, viewer, z, f);
    arm_shapes(
        p, &(arm_points){AT_OFF_SHOULDER, AT_OFF_ELBOW, AT_OFF_WRIST, AT_OFF_HAND, PART_OFF_ARM}, z,
        f);
    arm_shapes(
        p, &(arm_points){AT_HIT_SHOULDER, AT_HIT_ELBOW, AT_HIT_WRIST, AT_HIT_HAND, PART_HIT_ARM}, z,
        f);
    hand_shapes(p, z, f);
    racquet_shapes(p, length(sub(p->at[AT_RACQUET_TIP], p->at[AT_RACQUET_BUTT])), f);
    HULL(f, PART_BALL, 0, ball_ink, at(p->at[AT_BALL], BALL_RADIUS_M));
}
