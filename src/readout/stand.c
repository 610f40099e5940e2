#include "readout/stand.h"

#include <math.h>
#include <string.h>

/* A toe's tip is a sole above the ground (assumed); an ankle 0.039 of the stature (Winter 2009,
 * after Drillis and Contini), here of 1.75 m, less by a tenth for shorter players. */
static const double TOE_M = 0.018, TOE_SD_M = 0.008;
static const double ANKLE_M = 0.068, ANKLE_SD_M = 0.015;
/* The body stands over the middle of its feet. From the tip of the toes that is half a foot back
 * (0.152 of the stature; Winter 2009), and in a sideways stance the toes point to the hitting side:
 * the rear ones square to the way of the serve, the front ones by half. Toward the off side, and
 * back from the net. Assumed. */
static const double TOES_BESIDE_M = 0.11, TOES_AHEAD_M = 0.04;
/* How far the body as a whole is off the plane through its feet, by how it leans. From simulated
 * serves (trial.c); assumed. */
static const double DEPTH_BESIDE_M = 0.06, DEPTH_ALONG_M = 0.08;

/* --- camera ---------------------------------------------------------------------------------- */
static bool solve_pose(const sp_door *door, const sp_scale_entry *entry, sp_pose *pose,
                       sp_error *error) {
    sp_landmark_tap taps[SP_SCALE_LANDMARKS_MAX];
    const double usual = entry->sd_px > 0 ? entry->sd_px : sp_review_get_points_sd(door->review);
    for (size_t i = 0; i < entry->landmark_count; i++) {
        taps[i] = entry->landmarks[i];
        if (!(taps[i].sd_px > 0)) taps[i].sd_px = usual;
    }
    return sp_pose_solve(taps, entry->landmark_count, door->clip->width, door->clip->height, NULL,
                         pose, error);
}

/* --- feet ------------------------------------------------------------------------------------ */
static int take_feet(sp_door *door, int frame, sp_point_name left, sp_point_name right,
                     int feet[SP_STAND_FEET_MAX]) {
    int count = 0;
    if (sp_door_marked(door, frame, left)) feet[count++] = sp_door_slot(door, frame, left);
    if (sp_door_marked(door, frame, right)) feet[count++] = sp_door_slot(door, frame, right);
    return count;
}

/* Frames on which the feet surely stand: the trophy, else the release, else the latest marked one
 * before the drop. */
static int feet_on(sp_door *door, sp_point_name left, sp_point_name right,
                   int feet[SP_STAND_FEET_MAX]) {
    static const sp_known_moment standing[] = {SP_AT_TROPHY, SP_AT_RELEASE};
    for (size_t i = 0; i < sizeof standing / sizeof standing[0]; i++) {
        const int frame = door->moments[standing[i]];
        const int count = frame < 0 ? 0 : take_feet(door, frame, left, right, feet);
        if (count > 0) return count;
    }
    const int until = door->moments[SP_AT_DROP];
    for (size_t i = sp_review_marked_count(door->review); i-- > 0;) {
        const int frame = sp_review_marked_frame(door->review, i);
        const int count =
            until >= 0 && frame >= until ? 0 : take_feet(door, frame, left, right, feet);
        if (count > 0) return count;
    }
    return 0;
}

static bool find_feet(sp_door *door, sp_stand *stand, sp_error *error) {
    stand->foot_count = feet_on(door, SP_POINT_LEFT_TOE, SP_POINT_RIGHT_TOE, stand->feet);
    stand->foot_height_m = TOE_M;
    stand->foot_height_sd_m = TOE_SD_M;
    stand->by_toes = stand->foot_count > 0;
    if (stand->by_toes) return true;
    stand->foot_count = feet_on(door, SP_POINT_LEFT_ANKLE, SP_POINT_RIGHT_ANKLE, stand->feet);
    stand->foot_height_m = ANKLE_M;
    stand->foot_height_sd_m = ANKLE_SD_M;
    return stand->foot_count > 0 ||
           sp_fail(error, SP_ERROR_ARGUMENT,
                   "mark a toe on the frame of the trophy: the court tells the scale only where "
                   "the player stands");
}

/* --- plane ----------------------------------------------------------------------------------- */

/* Toward the net from the side, toward the hitting side from behind and from the front; at a slant
 * what runs across the picture, its right being a right-hander's. */
static sp_point direction_of(const sp_door *door, const sp_camera *camera, sp_point foot) {
    const double side = door->hand == SP_HAND_LEFT ? -1 : 1;
    if (door->view == SP_VIEW_SIDE) return (sp_point){0, 1};
    if (door->view != SP_VIEW_OBLIQUE) return (sp_point){side, 0};
    const sp_world from = sp_camera_position(camera);
    const sp_point ahead = {foot.x - from.x, foot.y - from.y};
    return (sp_point){side * ahead.y, -side * ahead.x};
}

sp_camera sp_stand_over(const sp_camera *camera, double height_m) {
    sp_camera result = *camera;
    for (int i = 0; i < 3; i++) result.translation[i] += height_m * camera->rotation[3 * i + 2];
    return result;
}

bool sp_stand_plane(const sp_stand *stand, const sp_door *door, const sp_camera *camera,
                    const sp_point *feet, double foot_height_m, sp_plane *plane, sp_error *error) {
    const sp_camera over = sp_stand_over(camera, foot_height_m);
    sp_point middle = {0, 0};
    for (int i = 0; i < stand->foot_count; i++) {
        sp_point ground;
        if (!sp_ground_from_picture(&over, sp_door_mirror(door, feet[i]), &ground, NULL, error))
            return false;
        middle = sp_point_add(middle, sp_point_times(ground, 1.0 / stand->foot_count));
    }
    if (stand->by_toes) {
        middle.x -= (door->hand == SP_HAND_LEFT ? -1 : 1) * TOES_BESIDE_M;
        middle.y -= TOES_AHEAD_M;
    }
    return sp_plane_through(camera, middle, direction_of(door, camera, middle), plane, error);
}

double sp_stand_away_m(const sp_plane *plane) {
    const sp_world from = sp_camera_position(&plane->camera);
    const sp_point way = {plane->foot.x - from.x, plane->foot.y - from.y};
    return fabs(sp_point_cross(way, plane->direction));
}

sp_point sp_stand_eye(const sp_plane *plane) {
    const sp_world from = sp_camera_position(&plane->camera);
    const sp_point way = {from.x - plane->foot.x, from.y - plane->foot.y};
    return (sp_point){sp_point_dot(way, plane->direction), from.z};
}

sp_world sp_stand_way(const sp_plane *plane) {
    const sp_world from = sp_camera_position(&plane->camera);
    return (sp_world){from.x - plane->foot.x, from.y - plane->foot.y,
                      from.z - SP_STAND_BODY_HEIGHT_M};
}

static const sp_point BODY = {0, SP_STAND_BODY_HEIGHT_M};

static void best_feet(const sp_stand *stand, const sp_door *door, sp_point *feet) {
    for (int i = 0; i < stand->foot_count; i++) feet[i] = door->slots[stand->feet[i]].at;
}

bool sp_stand_find(sp_door *door, const sp_scale_entry *entry, sp_stand *stand, sp_error *error) {
    *stand = (sp_stand){.depth_sd_m = door->view == SP_VIEW_SIDE ? DEPTH_BESIDE_M : DEPTH_ALONG_M};
    if (!solve_pose(door, entry, &stand->pose, error) || !find_feet(door, stand, error))
        return false;
    if (door->out_of_memory)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the readout");
    sp_point feet[SP_STAND_FEET_MAX];
    best_feet(stand, door, feet);
    if (!sp_stand_plane(stand, door, &stand->pose.camera, feet, stand->foot_height_m, &stand->plane,
                        error))
        return false;
    stand->away_m = sp_stand_away_m(&stand->plane);
    stand->m_per_px = sp_plane_m_per_px(&stand->plane, BODY);
    return true;
}

/* --- how well it is known -------------------------------------------------------------------- */
typedef struct {
    double scale, plumb; /* sums of squares */
} squares;

static void add_change(const sp_stand *stand, const sp_door *door, const sp_camera *camera,
                       const sp_point *feet, double foot_height_m, double plumb_deg, squares *sum) {
    sp_plane plane;
    if (!sp_stand_plane(stand, door, camera, feet, foot_height_m, &plane, NULL)) return;
    const double relative = log(sp_plane_m_per_px(&plane, BODY) / stand->m_per_px);
    const double turned = sp_plane_plumb_deg(&plane, BODY) - plumb_deg;
    sum->scale += relative * relative;
    sum->plumb += turned * turned;
}

/* One camera for each independent direction of its uncertainty, a deviation away, and the feet's
 * taps one after the other (JCGM 100, by differences). */
sp_stand_spread sp_stand_spread_of(const sp_stand *stand, const sp_door *door) {
    const double plumb_deg = sp_plane_plumb_deg(&stand->plane, BODY);
    squares sum = {0, 0};
    sp_point feet[SP_STAND_FEET_MAX];
    best_feet(stand, door, feet);
    for (int k = 0; k < SP_POSE_PARAMETERS; k++) {
        double normals[SP_POSE_PARAMETERS] = {0};
        normals[k] = 1;
        const sp_camera camera = sp_pose_vary(&stand->pose, normals);
        add_change(stand, door, &camera, feet, stand->foot_height_m, plumb_deg, &sum);
    }
    for (int i = 0; i < 2 * stand->foot_count; i++) {
        const sp_point kept = feet[i / 2];
        *(i % 2 == 0 ? &feet[i / 2].x : &feet[i / 2].y) += door->slots[stand->feet[i / 2]].sd_px;
        add_change(stand, door, &stand->pose.camera, feet, stand->foot_height_m, plumb_deg, &sum);
        feet[i / 2] = kept;
    }
    add_change(stand, door, &stand->pose.camera, feet,
               stand->foot_height_m + stand->foot_height_sd_m, plumb_deg, &sum);
    return (sp_stand_spread){.scale_sd = hypot(sqrt(sum.scale), stand->depth_sd_m / stand->away_m),
                             .plumb_deg = plumb_deg,
                             .plumb_sd_deg = sqrt(sum.plumb)};
}
