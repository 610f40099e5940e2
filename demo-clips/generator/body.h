/* The server as a chain of stiff segments. Everything is modelled right-handed; `hit` is the side
 * of the racquet and `off` the other, and a left-hander is the mirror image across the centre line.
 */
#ifndef DEMO_BODY_H
#define DEMO_BODY_H

#include <stdbool.h>

#include "vector.h"

/* Quantities that are keyed over time: radians and metres. Turn is measured from facing the net to
 * the hitting side; lean is that of the part's long axis, toward the net or toward the off side. */
typedef enum {
    PELVIS_X,
    PELVIS_Y,
    PELVIS_Z,
    PELVIS_TURN,
    PELVIS_LEAN_NET,
    PELVIS_LEAN_OFF,
    CHEST_TURN,
    CHEST_LEAN_NET,
    CHEST_LEAN_OFF,
    HEAD_TURN,
    HEAD_RAISE,
    NECK_LEAN_NET,
    NECK_LEAN_OFF,
    HIT_LIFT,      /* the collar bone above square to the trunk */
    HIT_ABDUCTION, /* the upper arm from hanging (0) to straight out (90) to overhead (180) */
    HIT_FORWARD,   /* the upper arm in front of the shoulder line */
    HIT_ROTATION,  /* outward rotation: 0 forearm forward, 90 forearm up, at 90 of abduction */
    HIT_FLEXION,   /* of the elbow, 0 straight */
    HIT_PRONATION, /* of the forearm: 0 palm up, 180 palm down */
    HIT_WRIST,     /* toward the palm */
    HIT_DEVIATION, /* of the wrist toward the thumb */
    OFF_LIFT,
    OFF_ABDUCTION,
    OFF_FORWARD,
    OFF_ROTATION,
    OFF_FLEXION,
    OFF_PRONATION,
    OFF_WRIST,
    OFF_DEVIATION,
    OFF_TOE_X,
    OFF_TOE_Y,
    OFF_TOE_Z,
    OFF_HEEL, /* the foot's pitch: heel above the toe */
    OFF_FOOT_TURN,
    OFF_KNEE_TURN, /* where the knee points, seen from above */
    HIT_TOE_X,
    HIT_TOE_Y,
    HIT_TOE_Z,
    HIT_HEEL,
    HIT_FOOT_TURN,
    HIT_KNEE_TURN,
    CHANNEL_COUNT
} channel;

typedef enum {
    AT_NOSE,
    AT_OFF_EYE,
    AT_HIT_EYE,
    AT_OFF_EAR,
    AT_HIT_EAR,
    AT_OFF_SHOULDER,
    AT_HIT_SHOULDER,
    AT_OFF_ELBOW,
    AT_HIT_ELBOW,
    AT_OFF_WRIST,
    AT_HIT_WRIST,
    AT_OFF_HIP,
    AT_HIT_HIP,
    AT_OFF_KNEE,
    AT_HIT_KNEE,
    AT_OFF_ANKLE,
    AT_HIT_ANKLE,
    AT_OFF_HAND,
    AT_HIT_HAND,
    AT_OFF_TOE,
    AT_HIT_TOE,
    AT_RACQUET_BUTT,
    AT_RACQUET_TIP,
    AT_HAND_HEEL,
    AT_BALL, /* set by the serve, not by the body */
    NAMED_POINTS,
    AT_STRINGS = NAMED_POINTS, /* middle of the strings */
    AT_PELVIS,                 /* middle of the hips */
    AT_WAIST,
    AT_NECK, /* middle of the shoulders when they are level */
    AT_HEAD,
    AT_OFF_HEEL,
    AT_HIT_HEEL,
    AT_OFF_FINGERS,
    AT_HIT_GRIP, /* on the handle's axis, in the fist */
    AT_TOSSED,   /* where a held ball lies in the off hand */
    POINT_COUNT
} body_point;

typedef struct {
    vector at[POINT_COUNT];
    triad pelvis, chest, head;
    triad racquet; /* up: from butt to tip; front: the face; right: across the strings */
    vector off_palm;
} pose;

typedef struct {
    double stature_m;
    double racquet_m;
    double overhang_m; /* of the butt beyond the heel of the hand */
    /* How this player's keyed angles differ throughout, degrees; of lengths nothing. */
    double style[CHANNEL_COUNT];
} physique;

/* Segment lengths as fractions of stature (Drillis & Contini 1966, as in Winter, Fig. 4.1: upper
 * arm, forearm, thigh, shank, trunk, foot; the widths between joint centres are from memory). */
#define UPPER_ARM 0.186
#define FOREARM 0.146
#define THIGH (0.530 - 0.285)
#define SHANK (0.285 - 0.039)
#define TRUNK (0.818 - 0.530)
#define LOWER_TRUNK 0.100
#define HAND 0.052 /* wrist to middle knuckle */
#define HALF_SHOULDERS 0.108
#define HALF_HIPS 0.055
#define ANKLE_HEIGHT 0.039
#define TOE_HEIGHT 0.010
#define ANKLE_TO_TOE 0.112 /* along the ground */
#define ANKLE_TO_HEEL 0.034
#define NECK 0.112

#define BALL_RADIUS_M 0.0335
#define STRINGS_FROM_TIP_M 0.172

/* False when a foot is out of the leg's reach; the foot then hangs short of its place. */
bool body_pose(const physique *physique, const double value[CHANNEL_COUNT], pose *pose);
void body_mirror(pose *pose);
/* Name of a point in files: "right_elbow" is the hitting elbow of a right-hander. */
const char *body_point_id(body_point point, bool left_handed);

#endif
