#include "readout/map.h"

#include <math.h>

/* Where the camera stands when nothing tells, see scale.h. */
static const double CAMERA_BESIDE_M = 9, CAMERA_ALONG_M = 6, CAMERA_BEFORE_M = 10;

/* A phone is held between hip and raised hand and aimed at the player's middle: so far above or
 * below that it is, with its standard deviation; and square to the plane within some degrees, by
 * eye. The focal length of its lens is 1.6 shorter sides of the picture, which also tells how far
 * off it stands where there is a scale. Assumed. */
static const double HEIGHT_OFF_M = 0.25, HEIGHT_OFF_SD_M = 0.43;
static const double YAW_SD = 8 / 57.29577951308232, FOCAL_SIDES = 1.6;

/* With a scale the lens tells how far off a camera stands, and so does the view: both are guesses;
 * their mean (of logarithms) may be off by so much, as a share. */
static const double CAMERA_SD = 0.22;

static double usual_distance(const sp_door *door) {
    switch (door->view) {
    case SP_VIEW_SIDE: return CAMERA_BESIDE_M;
    case SP_VIEW_FRONT: return CAMERA_BEFORE_M;
    case SP_VIEW_BACK:
    case SP_VIEW_OBLIQUE: break;
    }
    return CAMERA_ALONG_M;
}

double sp_map_usual_m_per_px(const sp_door *door) {
    return usual_distance(door) / (FOCAL_SIDES * fmin(door->clip->width, door->clip->height));
}

sp_point sp_map_shaken(sp_point at, double sd_px, sp_random *random) {
    at.x += sd_px * sp_random_normal(random);
    at.y += sd_px * sp_random_normal(random);
    return at;
}

/* --- by a factor ----------------------------------------------------------------------------- */
static double draw_line(const sp_line *line, sp_random *random) {
    const double distance_m = line->distance_m + line->distance_sd_m * sp_random_normal(random);
    const double depth = 1 + line->depth_sd * sp_random_normal(random);
    const sp_point a = sp_map_shaken(line->a, line->sd_px, random);
    const double length_px = sp_point_distance(a, sp_map_shaken(line->b, line->sd_px, random));
    return length_px > 0 ? distance_m * depth / length_px : NAN;
}

static double draw_factor(const sp_found_scale *used, sp_random *random) {
    if (used == NULL || used->entry->method == SP_SCALE_COURT) return 1;
    if (used->entry->method == SP_SCALE_LINE) return draw_line(&used->line, random);
    return used->m_per_px * (1 + used->relative_sd * sp_random_normal(random));
}

/* Of a plane that stands upright before a camera which looks down by p, what is seen y above the
 * picture's middle is larger by 1 + y tan p / focal length (pinhole projection). */
static sp_point levelled(const sp_map *map, sp_point at) {
    const sp_point way = sp_point_subtract(at, map->middle);
    const double up_px = sp_point_dot(way, map->up);
    const double factor = map->m_per_px / (1 + map->pitch_per_px * up_px);
    return (sp_point){factor * sp_point_dot(way, map->right), factor * up_px};
}

/* How high in the picture the factor was had, px above the middle. */
static double factor_height(const sp_map *map, const sp_found_scale *used) {
    if (used == NULL || used->entry->method != SP_SCALE_LINE) return 0;
    const sp_point at = sp_point_middle(used->line.a, used->line.b);
    return sp_point_dot(sp_point_subtract(at, map->middle), map->up);
}

/* A plane that is turned by `yaw` from being square to the camera: with x and y as if it were
 * square, x / (cos yaw (1 - x tan yaw / away)) and y / (1 - x tan yaw / away) in it (pinhole
 * projection). The line along the plane from a to b keeps its length. */
static void turn_by(sp_map *map, double yaw, double reach, const sp_found_scale *used) {
    map->yaw_cos = cos(yaw);
    map->yaw_per_m = tan(yaw) / reach;
    map->turned = 1;
    if (used == NULL || used->entry->method != SP_SCALE_LINE) return;
    const double a = levelled(map, used->line.a).x, b = levelled(map, used->line.b).x;
    map->turned = map->yaw_cos * (1 - map->yaw_per_m * a) * (1 - map->yaw_per_m * b);
}

sp_point sp_map_turned(const sp_map *map, sp_point flat) {
    if (map->by_court || map->yaw_per_m == 0) return flat;
    const double factor = map->turned / (1 - map->yaw_per_m * flat.x);
    return (sp_point){factor * flat.x / map->yaw_cos, factor * flat.y};
}

static sp_map draw_by_factor(const sp_door *door, const sp_found_scale *used, sp_plumb plumb,
                             sp_random *random) {
    const sp_review_clip *clip = door->clip;
    sp_map map = {.m_per_px = draw_factor(used, random),
                  .middle = {clip->width / 2.0, clip->height / 2.0},
                  .away_m = usual_distance(door)};
    const double lens_px = FOCAL_SIDES * fmin(clip->width, clip->height);
    const double off = exp(CAMERA_SD * sp_random_normal(random));
    if (used != NULL) map.away_m = sqrt(map.away_m * map.m_per_px * lens_px) * off;
    const double focal_px = used != NULL ? map.away_m / map.m_per_px : lens_px * off;
    const double tilt = plumb.angle_deg + plumb.sd_deg * sp_random_normal(random);
    map.right = sp_plumb_right(tilt);
    map.up = sp_plumb_up(tilt);
    const double off_m = HEIGHT_OFF_M + HEIGHT_OFF_SD_M * sp_random_normal(random);
    const double pitch = random == NULL ? 0 : atan(off_m / map.away_m);
    map.pitch_per_px = pitch / focal_px;
    map.m_per_px *= 1 + map.pitch_per_px * factor_height(&map, used);
    const double yaw = YAW_SD * sp_random_normal(random);
    /* to the plane, by the lens: in pixels where there is no scale */
    const double reach = map.m_per_px * focal_px;
    turn_by(&map, yaw, reach, used);
    map.eye = (sp_point){-reach * tan(yaw), reach * tan(pitch)};
    return map;
}

/* --- by the court ---------------------------------------------------------------------------- */
static sp_map draw_by_court(const sp_door *door, const sp_stand *stand, const sp_point *seen,
                            sp_random *random) {
    double normals[SP_POSE_PARAMETERS];
    for (int k = 0; k < SP_POSE_PARAMETERS; k++) normals[k] = sp_random_normal(random);
    const sp_camera camera = sp_pose_vary(&stand->pose, normals);
    const double height_m =
        stand->foot_height_m + stand->foot_height_sd_m * sp_random_normal(random);
    const double off_m = stand->depth_sd_m * sp_random_normal(random);
    sp_point feet[SP_STAND_FEET_MAX];
    for (int i = 0; i < stand->foot_count; i++) feet[i] = seen[stand->feet[i]];
    sp_map map = {.by_court = true, .m_per_px = NAN};
    map.lost = !sp_stand_plane(stand, door, &camera, feet, height_m, &map.plane, NULL);
    if (map.lost) return map;
    /* The body is nearer than its feet by `off_m`: the plane is put there. */
    const sp_world from = sp_camera_position(&map.plane.camera);
    const sp_point across = {-map.plane.direction.y, map.plane.direction.x};
    const sp_point way = {from.x - map.plane.foot.x, from.y - map.plane.foot.y};
    const double side = sp_point_dot(way, across) < 0 ? -off_m : off_m;
    map.plane.foot = sp_point_add(map.plane.foot, sp_point_times(across, side));
    map.eye = sp_stand_eye(&map.plane);
    map.away_m = sp_stand_away_m(&map.plane);
    return map;
}

sp_map sp_map_draw(const sp_door *door, const sp_scales *scales, sp_plumb plumb,
                   const sp_point *seen, sp_random *random) {
    const sp_found_scale *used = scales->used;
    if (used != NULL && used->entry->method == SP_SCALE_COURT)
        return draw_by_court(door, &used->stand, seen, random);
    return draw_by_factor(door, used, plumb, random);
}

/* --- points ---------------------------------------------------------------------------------- */
sp_point sp_map_flat(const sp_map *map, const sp_door *door, sp_point at) {
    if (!map->by_court) return levelled(map, at);
    sp_point flat;
    if (map->lost ||
        !sp_plane_from_picture(&map->plane, sp_door_mirror(door, at), &flat, NULL, NULL))
        return (sp_point){NAN, NAN};
    return flat;
}

/* On its ray, which leads from the camera to where the plane shows it (similar triangles). */
sp_point sp_map_nearer(const sp_map *map, sp_point flat, double off_m) {
    const double share = 1 - off_m / map->away_m;
    return sp_point_add(map->eye, sp_point_times(sp_point_subtract(flat, map->eye), share));
}

bool sp_map_on_ground(const sp_map *map, const sp_door *door, sp_point at, double high_m,
                      sp_point *ground) {
    if (!map->by_court || map->lost) return false;
    const sp_camera over = sp_stand_over(&map->plane.camera, high_m);
    return sp_ground_from_picture(&over, sp_door_mirror(door, at), ground, NULL, NULL);
}

sp_point sp_map_ground(const sp_map *map, const sp_door *door, const sp_found_scale *used,
                       sp_point at, sp_point flat) {
    if (!map->by_court) return flat;
    sp_point ground;
    if (!sp_map_on_ground(map, door, at, used->stand.foot_height_m, &ground))
        return (sp_point){NAN, NAN};
    const sp_point way = sp_point_subtract(ground, map->plane.foot);
    return (sp_point){sp_point_dot(way, map->plane.direction), 0};
}

sp_world sp_map_place(const sp_map *map, sp_point flat, double off_m) {
    const sp_plane *plane = &map->plane;
    const sp_world from = sp_camera_position(&plane->camera);
    const sp_point ground = sp_point_add(plane->foot, sp_point_times(plane->direction, flat.x));
    const double share = 1 - off_m / map->away_m;
    return (sp_world){from.x + share * (ground.x - from.x), from.y + share * (ground.y - from.y),
                      from.z + share * (flat.y - from.z)};
}

double sp_map_m_per_px(const sp_map *map) {
    if (!map->by_court) return map->m_per_px;
    if (map->lost) return NAN;
    return sp_plane_m_per_px(&map->plane, (sp_point){0, SP_STAND_BODY_HEIGHT_M});
}
