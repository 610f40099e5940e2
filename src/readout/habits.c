#include "readout/habits.h"

/* All from the simulated serves of demo-clips, whose players turn, lean and carry their arms each
 * in their own way; assumed to hold of students. A part's whole scatter is what stands here, what
 * it takes over and the whole body's: checked against that of the simulated serves. */
#define ALONE SP_POINT_COUNT
#define NONE                                                                                       \
    { 0, 0 }

static const sp_habit ANY = {.sd_m = {0.13, 0.13}, .on = ALONE};
/* Standing. */
static const sp_habit FRONT_TOE = {.at_m = {0.09, 0.3}, .sd_m = {0.04, 0.03}, .on = ALONE};

/* In the drop the arm is turned back and the racquet hangs behind the back: an elbow farther back
 * does not carry it back. */
static const sp_habit ELBOW_IN_DROP = {.at_m = {0.2, -0.1}, .sd_m = {0.055, 0.07}, .on = ALONE};
static const sp_habit HAND_IN_DROP = {
    .at_m = {0.1, -0.4}, .sd_m = {0.075, 0.04}, .on = SP_POINT_RIGHT_ELBOW, .share = {1, 1}};
static const sp_habit TIP_IN_DROP = {
    .at_m = {-0.15, -0.5}, .sd_m = {0.115, 0.11}, .on = SP_POINT_RIGHT_ELBOW, .share = {1, 0}};
static const sp_habit HIP_IN_DROP = {.at_m = {0, 0.2}, .sd_m = {0.09, 0.05}, .on = ALONE};
static const sp_habit SHOULDER_IN_DROP = {.at_m = {-0.07, 0.04}, .sd_m = {0.05, 0.06}, .on = ALONE};

/* At the trophy. */
static const sp_habit ARM_BACK = {.at_m = {-0.32, -0.54}, .sd_m = {0.13, 0.13}, .on = ALONE};

/* As it leaves the hand. */
static const sp_habit BALL = {.at_m = {0.6, 0.3},
                              .sd_m = {0.12, 0.17},
                              .on = ALONE,
                              .per_s = {-0.88, 0.67},
                              .per_s_sd = {0.23, 0.26}};

/* As the ball is met, in front of the body. The strings meet it, so that tip and hand are where it
 * is but for how the racquet tilts, and the arm follows as far as it reaches. Who stands turned to
 * the hitting side meets the ball and swings farther to that side. */
static const sp_habit TIP = {.at_m = {-0.09, 0.78},
                             .sd_m = {0.06, 0.06},
                             .on = SP_POINT_BALL,
                             .share = {1.08, 1.05},
                             .per_s = {7, 40},
                             .per_s_sd = {6.9, 4},
                             .swings = {14, 0}};
static const sp_habit HAND = {.at_m = {0.04, 0.7},
                              .sd_m = {0.04, 0.04},
                              .on = SP_POINT_BALL,
                              .share = {0.75, 0.75},
                              .per_s = {-2, 14},
                              .per_s_sd = {2.5, 2}};
static const sp_habit ELBOW = {.at_m = {-0.04, 0.64},
                               .sd_m = {0.04, 0.04},
                               .on = SP_POINT_BALL,
                               .share = {0.56, 0.56},
                               .per_s = {-2.2, 6},
                               .per_s_sd = {1, 1}};
static const sp_habit HEAD = {.at_m = {-0.3, 0.47},
                              .sd_m = {0.04, 0.05},
                              .on = SP_POINT_BALL,
                              .share = {0.37, 0.29},
                              .per_s = {-0.5, 2.9},
                              .per_s_sd = {0.45, 0.35},
                              .steady = true};

double sp_depth_toward(const sp_door *door, sp_depth way) {
    const sp_net net = sp_review_get_net(door->review);
    if (door->view == SP_VIEW_SIDE)
        return (net == SP_NET_RIGHT) == (door->hand == SP_HAND_RIGHT) ? way.beside : -way.beside;
    if (door->view == SP_VIEW_OBLIQUE) return 0;
    return net == SP_NET_TOWARD ? way.ahead : -way.ahead;
}

double sp_depth_spread(const sp_door *door, sp_depth sd) {
    return door->view == SP_VIEW_SIDE ? sd.beside : sd.ahead;
}

static bool is_of_head(sp_point_name name) {
    return name == SP_POINT_NOSE || name == SP_POINT_LEFT_EYE || name == SP_POINT_RIGHT_EYE ||
           name == SP_POINT_LEFT_EAR || name == SP_POINT_RIGHT_EAR;
}

static bool is_of_arm(sp_point_name name) {
    return name == SP_POINT_RIGHT_ELBOW || name == SP_POINT_RIGHT_HAND ||
           name == SP_POINT_RIGHT_WRIST || name == SP_POINT_RACQUET_BUTT ||
           name == SP_POINT_HAND_HEEL;
}

sp_habit sp_habit_in_drop(sp_point_name name) {
    switch (name) {
    case SP_POINT_RIGHT_ELBOW: return ELBOW_IN_DROP;
    case SP_POINT_RIGHT_HAND:
    case SP_POINT_RIGHT_WRIST: return HAND_IN_DROP;
    case SP_POINT_RACQUET_TIP: return TIP_IN_DROP;
    case SP_POINT_LEFT_HIP:
    case SP_POINT_RIGHT_HIP: return HIP_IN_DROP;
    case SP_POINT_RIGHT_SHOULDER: return SHOULDER_IN_DROP;
    default: return ANY;
    }
}

sp_habit sp_habit_of(const sp_door *door, const sp_slot *slot) {
    if (slot->name == SP_POINT_BALL) return BALL;
    if (is_of_head(slot->name)) return HEAD;
    if (slot->name == SP_POINT_LEFT_TOE) return FRONT_TOE;
    if (slot->frame == door->moments[SP_AT_DROP]) return sp_habit_in_drop(slot->name);
    if (slot->frame == door->moments[SP_AT_TROPHY] && is_of_arm(slot->name)) return ARM_BACK;
    if (door->moments[SP_AT_CONTACT] < 0 || slot->frame < door->moments[SP_AT_DROP]) return ANY;
    switch (slot->name) {
    case SP_POINT_RIGHT_ELBOW: return ELBOW;
    case SP_POINT_RIGHT_HAND:
    case SP_POINT_RIGHT_WRIST: return HAND;
    case SP_POINT_RACQUET_TIP: return TIP;
    default: return ANY;
    }
}
