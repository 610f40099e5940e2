/* What two cameras that were set up by eye differ by, where a measure is true only in the picture's
 * plane.
 *
 * The same simulated serve, filmed twice in the same view from the same side of the player, the
 * camera anywhere within what its place beside, behind or before the player leaves free (up to 15
 * degrees of direction): the root mean square by which two readouts differ beyond their intervals,
 * a quarter added because the simulated players are few in kind. `coverage --pairs` tells again.
 * Limbs that point at the camera are worst: the forearm in the drop, the racquet at contact. */
#include <math.h>
#include <string.h>

#include "readout/compare.h"
#include "readout/readout.h"

static const struct {
    const char *id, *moment;
    double sd; /* in the measure's unit */
} VIEWS[] = {
    {"elbow_angle", "trophy", 14},
    {"elbow_angle", "drop", 38},
    {"elbow_angle", "contact", 12.5},
    {"upper_arm_elevation", "trophy", 16},
    {"upper_arm_elevation", "contact", 11},
    {"upper_arm_to_horizontal", "trophy", 12},
    {"upper_arm_to_horizontal", "contact", 10.5},
    {"forearm_to_plumb", "trophy", 6},
    {"forearm_to_plumb", "drop", 25},
    {"forearm_to_plumb", "contact", 12},
    {"racquet_to_plumb", "trophy", 7},
    {"racquet_to_plumb", "drop", 6.5},
    {"racquet_to_plumb", "contact", 28},
    {"racquet_to_forearm", "trophy", 7.5},
    {"racquet_to_forearm", "drop", 26},
    {"racquet_to_forearm", "contact", 18},
    {"trunk_lean", "trophy", 4.5},
    {"trunk_lean", "contact", 7.5},
    {"shoulder_tilt", "trophy", 11.5},
    {"shoulder_tilt", "contact", 4},
    {"hip_tilt", "trophy", 22},
    {"hip_tilt", "contact", 6},
    {"tossing_arm_to_horizontal", "trophy", 2.5},
    {"knee_angle_front", "trophy", 10},
    {"knee_angle_rear", "trophy", 11.5},
    {"racquet_beside_body", "drop", 0.15},
    {"racquet_beside_body_angle", "drop", 6},
    {"hand_elbow_gap_ratio", "drop", 0.03},
    {"contact_ahead", "contact", 0.09},
    {"toss_landing_ahead", "release", 0.2},
};

/* Of a measure without a row: as the worst of its kind but one. Speeds and shares of speeds as a
 * part of the value. */
static double by_kind(sp_seen seen, double value) {
    switch (seen) {
    case SP_SEEN_WHOLE: return 0;
    case SP_SEEN_ANGLE: return 26;
    case SP_SEEN_LINE: return 11.5;
    case SP_SEEN_LENGTH: return 0.15;
    case SP_SEEN_CLOSE: return 0.005;
    case SP_SEEN_SPEED:
    case SP_SEEN_SHARE: return 0.12 * fabs(value);
    }
    return NAN;
}

double sp_view_sd(size_t index, double value) {
    const sp_row *row = sp_row_at(index);
    for (size_t i = 0; i < sizeof VIEWS / sizeof VIEWS[0]; i++)
        if (strcmp(VIEWS[i].id, row->kind.id) == 0 &&
            strcmp(VIEWS[i].moment, row->kind.moment) == 0)
            return VIEWS[i].sd;
    return by_kind(row->seen, value);
}

/* So far apart are the directions of two such cameras (root mean square); and so well does a pose
 * by the court know its own, with the player's turn from serve to serve. */
static const double TYPICAL_DEG = 9, KNOWN_DEG = 4;

static double length_of(sp_world w) { return sqrt(w.x * w.x + w.y * w.y + w.z * w.z); }

static double degrees_between(sp_world one, sp_world other) {
    const double dot = one.x * other.x + one.y * other.y + one.z * other.z;
    const double share = dot / (length_of(one) * length_of(other));
    return acos(fmax(-1, fmin(1, share))) * 57.29577951308232;
}

/* Two poses by the court that are both well known differ by less. */
static const double MOVED_DEG = 8;

double sp_cameras_apart_deg(const sp_day *before, const sp_day *after) {
    double widest = 0;
    for (size_t i = 0; i < before->count; i++)
        for (size_t k = 0; k < after->count; k++) {
            const sp_readout *one = before->serves[i].readout, *other = after->serves[k].readout;
            if (!one->by_court || !other->by_court) return NAN;
            widest = fmax(widest, degrees_between(one->to_camera, other->to_camera));
        }
    return widest;
}

bool sp_cameras_moved(const sp_day *before, const sp_day *after) {
    return sp_cameras_apart_deg(before, after) > MOVED_DEG;
}

double sp_view_share(const sp_day *before, const sp_day *after) {
    const double apart = sp_cameras_apart_deg(before, after);
    return isnan(apart) ? 1 : hypot(apart, KNOWN_DEG) / TYPICAL_DEG;
}
