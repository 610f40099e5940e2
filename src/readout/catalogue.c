/* The catalogue: one table that the code, the sheet, the help and the tests read. */
#include <string.h>

#include "readout/row.h"

#define SIDE SP_VIEW_BIT(SP_VIEW_SIDE)
#define BACK SP_VIEW_BIT(SP_VIEW_BACK)
#define FRONT SP_VIEW_BIT(SP_VIEW_FRONT)
#define ALL (SIDE | BACK | FRONT | SP_VIEW_BIT(SP_VIEW_OBLIQUE))

/* Right-handed, short enough for a row. */
#define SHOULDER SP_POINT_RIGHT_SHOULDER
#define OFF_SHOULDER SP_POINT_LEFT_SHOULDER
#define ELBOW SP_POINT_RIGHT_ELBOW
#define HAND SP_POINT_RIGHT_HAND
#define HIP SP_POINT_RIGHT_HIP
#define OFF_HIP SP_POINT_LEFT_HIP
#define BUTT SP_POINT_RACQUET_BUTT
#define TIP SP_POINT_RACQUET_TIP
#define BALL SP_POINT_BALL

#define POINTS_1(a)                                                                                \
    1, { a }
#define POINTS_2(a, b)                                                                             \
    2, { a, b }
#define POINTS_3(a, b, c)                                                                          \
    3, { a, b, c }
#define POINTS_4(a, b, c, d)                                                                       \
    4, { a, b, c, d }
#define POINTS_5(a, b, c, d, e)                                                                    \
    5, { a, b, c, d, e }
#define POINTS_6(a, b, c, d, e, f)                                                                 \
    6, { a, b, c, d, e, f }
#define NO_POINTS                                                                                  \
    0, { SP_POINT_NOSE }

#define DEGREE SP_UNIT_DEGREE
#define METRE SP_UNIT_METRE
#define SECOND SP_UNIT_SECOND
#define SPEED SP_UNIT_METRE_PER_SECOND
#define RATIO SP_UNIT_RATIO

#define ELBOW_ANGLE(moment)                                                                        \
    {                                                                                              \
        {"elbow_angle",                                                                            \
         "elbow angle",                                                                            \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         ALL,                                                                                      \
         false,                                                                                    \
         POINTS_3(SHOULDER, ELBOW, HAND),                                                          \
         "Between upper arm and forearm at the hitting elbow; 180 is straight."},                  \
            SP_SEEN_ANGLE, sp_prepare_frame, sp_find_included_angle                                \
    }
#define ARM_ELEVATION(moment)                                                                      \
    {                                                                                              \
        {"upper_arm_elevation",                                                                    \
         "upper arm to trunk",                                                                     \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         ALL,                                                                                      \
         false,                                                                                    \
         POINTS_5(SHOULDER, ELBOW, OFF_SHOULDER, HIP, OFF_HIP),                                    \
         "Between the hitting upper arm and the trunk line; 0 along the trunk down, 90 square to " \
         "it."},                                                                                   \
            SP_SEEN_ANGLE, sp_prepare_frame, sp_find_arm_elevation                                 \
    }
#define ARM_TO_LEVEL(moment)                                                                       \
    {                                                                                              \
        {"upper_arm_to_horizontal",                                                                \
         "upper arm to horizontal",                                                                \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         ALL,                                                                                      \
         false,                                                                                    \
         POINTS_2(SHOULDER, ELBOW),                                                                \
         "Hitting upper arm against the horizontal; + elbow above the shoulder, - below."},        \
            SP_SEEN_ANGLE, sp_prepare_frame, sp_find_above_level                                   \
    }
#define FOREARM_TO_PLUMB(moment)                                                                   \
    {                                                                                              \
        {"forearm_to_plumb",                                                                       \
         "forearm to plumb",                                                                       \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         ALL,                                                                                      \
         false,                                                                                    \
         POINTS_2(ELBOW, HAND),                                                                    \
         "Forearm, from elbow to hand, against the plumb; 0 straight up, 90 level, 180 straight "  \
         "down."},                                                                                 \
            SP_SEEN_ANGLE, sp_prepare_frame, sp_find_angle_to_plumb                                \
    }
#define RACQUET_TO_PLUMB(moment)                                                                   \
    {                                                                                              \
        {"racquet_to_plumb",                                                                       \
         "racquet to plumb",                                                                       \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         ALL,                                                                                      \
         false,                                                                                    \
         POINTS_2(BUTT, TIP),                                                                      \
         "Racquet, from butt to tip, against the plumb; 0 tip straight up, 90 level, 180 "         \
         "straight "                                                                               \
         "down."},                                                                                 \
            SP_SEEN_ANGLE, sp_prepare_frame, sp_find_angle_to_plumb                                \
    }
#define RACQUET_TO_FOREARM(moment)                                                                 \
    {                                                                                              \
        {"racquet_to_forearm",                                                                     \
         "racquet to forearm",                                                                     \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         ALL,                                                                                      \
         false,                                                                                    \
         POINTS_4(ELBOW, HAND, BUTT, TIP),                                                         \
         "Between the forearm's direction and the racquet's; 0 in one line, 90 square to it."},    \
            SP_SEEN_ANGLE, sp_prepare_frame, sp_find_angle_between                                 \
    }
#define TRUNK_LEAN(moment)                                                                         \
    {                                                                                              \
        {"trunk_lean",                                                                             \
         "trunk lean",                                                                             \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         SIDE | BACK,                                                                              \
         false,                                                                                    \
         POINTS_4(SHOULDER, OFF_SHOULDER, HIP, OFF_HIP),                                           \
         "Hips' middle to shoulders' middle against the plumb; + toward the net (side view) or "   \
         "the "                                                                                    \
         "off side (back view)."},                                                                 \
            SP_SEEN_ANGLE, sp_prepare_frame, sp_find_trunk_lean                                    \
    }
#define SHOULDER_TILT(moment)                                                                      \
    {                                                                                              \
        {"shoulder_tilt",                                                                          \
         "shoulder tilt",                                                                          \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         BACK | FRONT,                                                                             \
         false,                                                                                    \
         POINTS_2(SHOULDER, OFF_SHOULDER),                                                         \
         "Line of the shoulders against the horizontal; + hitting shoulder higher, - lower."},     \
            SP_SEEN_LINE, sp_prepare_frame, sp_find_tilt                                           \
    }
#define HIP_TILT(moment)                                                                           \
    {                                                                                              \
        {"hip_tilt",                                                                               \
         "hip tilt",                                                                               \
         moment,                                                                                   \
         DEGREE,                                                                                   \
         BACK | FRONT,                                                                             \
         false,                                                                                    \
         POINTS_2(HIP, OFF_HIP),                                                                   \
         "Line of the hips against the horizontal; + hitting side higher, - lower."},              \
            SP_SEEN_LINE, sp_prepare_frame, sp_find_tilt                                           \
    }
#define SPAN(id, title, about, prepare)                                                            \
    { {id, title, "", SECOND, ALL, false, NO_POINTS, about}, SP_SEEN_WHOLE, prepare, sp_find_span }
#define SPEED_UP_TO(id, title, point, about, prepare, find)                                        \
    {                                                                                              \
        {id, title, "contact", SPEED, SIDE, true, POINTS_1(point), about}, SP_SEEN_SPEED, prepare, \
            find                                                                                   \
    }

static const sp_row ROWS[] = {
    {{"hand_elbow_gap", "hand-elbow gap", "drop", METRE, ALL, true, POINTS_2(ELBOW, HAND),
      "Height of the hand above (+) or below (-) the elbow along the plumb; surest from a camera "
      "at that height."},
     SP_SEEN_WHOLE,
     sp_prepare_frame,
     sp_find_height},
    {{"hand_elbow_gap_ratio", "hand-elbow gap to forearm", "drop", RATIO, ALL, false,
      POINTS_2(ELBOW, HAND),
      "The gap as a share of the longest forearm seen, elbow to hand; + hand above, - below."},
     SP_SEEN_LENGTH,
     sp_prepare_forearm,
     sp_find_gap_ratio},
    {{"tip_height_at_drop", "tip height to elbow", "drop", METRE, ALL, true, POINTS_2(ELBOW, TIP),
      "Height of the racquet tip above (+) or below (-) the hitting elbow."},
     SP_SEEN_WHOLE,
     sp_prepare_frame,
     sp_find_height},
    {{"tip_height_to_hips", "tip height to hips", "drop", METRE, ALL, true,
      POINTS_3(TIP, HIP, OFF_HIP),
      "Height of the racquet tip above (+) or below (-) the middle of the hips."},
     SP_SEEN_WHOLE,
     sp_prepare_frame,
     sp_find_height_to_hips},
    ELBOW_ANGLE("trophy"),
    ELBOW_ANGLE("drop"),
    ELBOW_ANGLE("contact"),
    ARM_ELEVATION("trophy"),
    ARM_ELEVATION("contact"),
    ARM_TO_LEVEL("trophy"),
    ARM_TO_LEVEL("contact"),
    FOREARM_TO_PLUMB("trophy"),
    FOREARM_TO_PLUMB("drop"),
    FOREARM_TO_PLUMB("contact"),
    RACQUET_TO_PLUMB("trophy"),
    RACQUET_TO_PLUMB("drop"),
    RACQUET_TO_PLUMB("contact"),
    RACQUET_TO_FOREARM("trophy"),
    RACQUET_TO_FOREARM("drop"),
    RACQUET_TO_FOREARM("contact"),
    TRUNK_LEAN("trophy"),
    TRUNK_LEAN("contact"),
    SHOULDER_TILT("trophy"),
    SHOULDER_TILT("contact"),
    HIP_TILT("trophy"),
    HIP_TILT("contact"),
    {{"tossing_arm_to_horizontal", "tossing arm to horizontal", "trophy", DEGREE,
      SIDE | BACK | FRONT, false, POINTS_2(OFF_SHOULDER, SP_POINT_LEFT_HAND),
      "Tossing arm, shoulder to hand, against the horizontal; + hand above the shoulder, - below."},
     SP_SEEN_ANGLE,
     sp_prepare_frame,
     sp_find_above_level},
    {{"knee_angle_front", "front knee angle", "trophy", DEGREE, SIDE, false,
      POINTS_3(OFF_HIP, SP_POINT_LEFT_KNEE, SP_POINT_LEFT_ANKLE),
      "Between thigh and shank of the leg nearer the net; 180 is straight."},
     SP_SEEN_ANGLE,
     sp_prepare_frame,
     sp_find_included_angle},
    {{"knee_angle_rear", "rear knee angle", "trophy", DEGREE, SIDE, false,
      POINTS_3(HIP, SP_POINT_RIGHT_KNEE, SP_POINT_RIGHT_ANKLE),
      "Between thigh and shank of the leg farther from the net; 180 is straight."},
     SP_SEEN_ANGLE,
     sp_prepare_frame,
     sp_find_included_angle},
    {{"racquet_beside_body", "racquet beside the body", "drop", METRE, BACK, true,
      POINTS_3(SHOULDER, HIP, TIP),
      "Racquet tip from the body's edge (hitting hip to shoulder); + out to the hitting side, - "
      "behind the body."},
     SP_SEEN_LENGTH,
     sp_prepare_frame,
     sp_find_beside_body},
    {{"racquet_beside_body_angle", "racquet to trunk", "drop", DEGREE, BACK, false,
      POINTS_6(SHOULDER, OFF_SHOULDER, HIP, OFF_HIP, BUTT, TIP),
      "Between the racquet, butt to tip, and the trunk line down; 0 hangs along the trunk."},
     SP_SEEN_ANGLE,
     sp_prepare_frame,
     sp_find_beside_angle},
    {{"grip_overhang", "grip overhang", "trophy", METRE, SIDE | BACK, true,
      POINTS_2(SP_POINT_HAND_HEEL, BUTT), "From the heel of the hand to the butt end."},
     SP_SEEN_CLOSE,
     sp_prepare_any_frame,
     sp_find_distance},
    {{"head_shift", "head shift", "contact", METRE, ALL, true, POINTS_1(SP_POINT_RIGHT_EAR),
      "Greatest travel of the head from 100 ms before contact to 50 ms after."},
     SP_SEEN_LENGTH,
     sp_prepare_head,
     sp_find_travel},
    {{"contact_height", "contact height", "contact", METRE, SIDE, true, POINTS_1(BALL),
      "Height of the ball above the ground under the front foot."},
     SP_SEEN_WHOLE,
     sp_prepare_grounded,
     sp_find_height_above_ground},
    {{"contact_height_ratio", "contact height to stature", "contact", RATIO, SIDE, true,
      POINTS_1(BALL), "Contact height as a multiple of the player's stature."},
     SP_SEEN_WHOLE,
     sp_prepare_stature,
     sp_find_height_in_statures},
    {{"contact_ahead", "contact ahead of front toe", "contact", METRE, SIDE, true, POINTS_1(BALL),
      "Ball from where the front toe stood; + toward the net, - behind."},
     SP_SEEN_LENGTH,
     sp_prepare_grounded,
     sp_find_ahead_of_ground},
    {{"toss_apex", "toss height", "release", METRE, ALL, true, POINTS_1(BALL),
      "Height of the ball's apex above its place on the release frame."},
     SP_SEEN_WHOLE,
     sp_prepare_toss,
     sp_find_toss_rise},
    {{"toss_drop_to_contact", "toss fall to contact", "contact", METRE, ALL, true, POINTS_1(BALL),
      "How far the ball has fallen from its apex when it is met."},
     SP_SEEN_WHOLE,
     sp_prepare_toss,
     sp_find_toss_drop},
    {{"toss_landing_ahead", "toss landing ahead of toe", "release", METRE, SIDE, true,
      POINTS_1(BALL),
      "Where the toss would land if it were let fall, from where the front toe stood; + toward the "
      "net, - behind."},
     SP_SEEN_LENGTH,
     sp_prepare_toss_landing,
     sp_find_toss_landing},
    SPAN("release_to_trophy", "release to trophy",
         "Seconds from the ball leaving the hand to the trophy position.",
         sp_prepare_release_to_trophy),
    SPAN("trophy_to_drop", "trophy to drop",
         "Seconds from the trophy position to the racquet's lowest point.",
         sp_prepare_trophy_to_drop),
    SPAN("drop_to_contact", "drop to contact",
         "Seconds from the racquet's lowest point to the touch of the ball.",
         sp_prepare_drop_to_contact),
    {{"upswing_to_drop_time", "upswing time to drop time", "", RATIO, ALL, false, NO_POINTS,
      "Time from drop to contact as a share of the time from trophy to drop."},
     SP_SEEN_WHOLE,
     NULL,
     NULL},
    SPEED_UP_TO("racquet_head_speed", "racquet tip speed at contact", TIP,
                "Speed of the racquet tip as the ball is met, from frames before it only.",
                sp_prepare_contact, sp_find_speed_at_contact),
    SPEED_UP_TO("racquet_head_speed_peak", "racquet tip speed, highest", TIP,
                "Highest speed of the racquet tip up to contact.", sp_prepare_up_to_contact,
                sp_find_tip_speed),
    SPEED_UP_TO("hand_speed", "hand speed, highest", HAND,
                "Highest speed of the hitting hand up to contact.", sp_prepare_up_to_contact,
                sp_find_speed),
    SPEED_UP_TO("elbow_speed", "elbow speed, highest", ELBOW,
                "Highest speed of the hitting elbow up to contact.", sp_prepare_up_to_contact,
                sp_find_speed),
    {{"ball_speed_off", "ball speed off the racquet", "contact", SPEED, SIDE, true, POINTS_1(BALL),
      "Speed of the ball as it leaves the strings, the drag of the first metres put back."},
     SP_SEEN_SPEED,
     sp_prepare_ball_off,
     sp_find_speed_off},
    {{"ball_speed_flight", "ball speed by its flight", "contact", SPEED, ALL, true, POINTS_1(BALL),
      "Launch speed by the distance from contact to bounce and its time."},
     SP_SEEN_WHOLE,
     sp_prepare_flight,
     sp_find_flight_speed},
    {{"tip_speed_kept", "tip speed kept to contact", "contact", RATIO, SIDE, true, POINTS_1(TIP),
      "Racquet tip speed at contact as a share of its highest up to contact; 1 at its fastest."},
     SP_SEEN_SHARE,
     NULL,
     NULL},
    {{"ball_to_tip_speed", "ball speed to tip speed", "contact", RATIO, SIDE, true,
      POINTS_2(BALL, TIP), "Ball speed off the racquet as a multiple of the racquet tip's."},
     SP_SEEN_SHARE,
     NULL,
     NULL},
};

size_t sp_catalogue_count(void) { return sizeof ROWS / sizeof ROWS[0]; }

const sp_row *sp_row_at(size_t index) { return &ROWS[index]; }

const sp_measure_kind *sp_catalogue_at(size_t index) {
    return index < sp_catalogue_count() ? &ROWS[index].kind : NULL;
}
