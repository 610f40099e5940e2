#include "readout/trial.h"

#include <math.h>

#include "serveplumb/court.h"

/* A phone held by hand against the picture's edge; common practice, no source. */
static const double PICTURE_PLUMB_SD_DEG = 1.0;
/* A distance that is not in the court table: half a percent, a hand's breadth on 15 m. Assumed. */
static const double OWN_DISTANCE_SD = 0.005;
/* A distance by a court name is that of the table when it was rounded to the centimetre. */
static const double ROUNDING_M = 0.006;
/* Statures are said to the centimetre, barefoot. Assumed. */
static const double STATURE_SD_M = 0.01;
/* How far a point lies from the player's own plane, and the racquet's tip, two thirds of whose
 * length may point at the camera. Half a shoulder's width; assumed. */
static const double POINT_OFF_M = 0.2, TIP_OFF_M = 0.45;
/* Serves of other kinds are met 0.3 m farther to the side (Carboch and Suss 2015), 0.75 s after the
 * release; along the line of sight assumed as much. */
static const double TOSS_DRIFT_M_PER_S = 0.4;
/* The body goes into the court with some 2 m/s about contact: along the line of sight from behind;
 * across it a fifth of that. Assumed. */
static const double HEAD_DRIFT_ALONG_M_PER_S = 2, HEAD_DRIFT_BESIDE_M_PER_S = 0.4;
/* Where the camera stands, see scale.h. */
static const double CAMERA_BESIDE_M = 10, CAMERA_ALONG_M = 6;
/* A gap is seen when it is a centimetre wide, which it is 26 ms after a hand that slows down with
 * 30 m/s^2 has let go (derived; the slowing is assumed). */
static const double GAP_OPENS_S = 0.03;
/* k = rho Cd A / (2 m): 0.0185 by free flight (Cross and Lindsey 2013, Cd 0.507), 0.0237 by wind
 * tunnel (Cd 0.65; Mehta, Alam and Subic 2008); rho 1.204, 66.7 mm, 57.7 g. */
static const double DRAG_LOW = 0.01848, DRAG_HIGH = 0.02370;

/* --- what is known --------------------------------------------------------------------------- */
static bool beside(const sp_door *door) { return door->view == SP_VIEW_SIDE; }

static double distance_sd_m(const sp_scale_entry *entry) {
    const sp_court_distance *known = sp_court_distance_find(entry->distance_name);
    if (known != NULL && fabs(known->distance_m - entry->distance_m) <= ROUNDING_M)
        return known->sd_m;
    return OWN_DISTANCE_SD * entry->distance_m;
}

bool sp_line_of(const sp_door *door, const sp_scale_entry *entry, sp_line *line, sp_scale *scale) {
    if (entry->method != SP_SCALE_LINE) return false;
    *line = (sp_line){
        .a = sp_door_mirror(door, entry->a),
        .b = sp_door_mirror(door, entry->b),
        .sd_px = entry->sd_px > 0 ? entry->sd_px : sp_review_get_points_sd(door->review),
        .distance_m = entry->distance_m,
        .distance_sd_m = distance_sd_m(entry),
        .depth_sd = beside(door) ? SP_SCALE_DEPTH_SD : SP_SCALE_DEPTH_SD_ALONG,
    };
    return sp_scale_from_line(line->a, line->b, line->sd_px, line->distance_m, line->distance_sd_m,
                              scale);
}

sp_plumb sp_trial_plumb(const sp_door *door) {
    const sp_plumb_entry *entry = sp_review_get_plumb(door->review);
    const double sd_px = sp_review_get_points_sd(door->review);
    const sp_point a = sp_door_mirror(door, entry->a), b = sp_door_mirror(door, entry->b);
    sp_plumb plumb;
    if (entry->method == SP_PLUMB_LEVEL && sp_plumb_from_level(a, b, sd_px, &plumb)) return plumb;
    if (entry->method == SP_PLUMB_HANG && sp_plumb_from_hang(a, b, sd_px, &plumb)) return plumb;
    const double angle_deg = door->mirrored ? -entry->angle_deg : entry->angle_deg;
    return (sp_plumb){angle_deg, PICTURE_PLUMB_SD_DEG};
}

/* --- one draw -------------------------------------------------------------------------------- */
typedef struct {
    double m_per_px;
    sp_point right, up;
    double moments_s[SP_AT_COUNT];
    double drag_per_m, stature_m, model;
    double
        nearer[SP_POINT_COUNT]; /* each point than the plane, relative to the camera's distance */
    double ball_nears_per_s, head_nears_per_s;
} world;

static sp_point shaken(sp_point at, double sd_px, sp_random *random) {
    at.x += sd_px * sp_random_normal(random);
    at.y += sd_px * sp_random_normal(random);
    return at;
}

static double draw_scale(const sp_line *line, sp_random *random) {
    const double distance_m = line->distance_m + line->distance_sd_m * sp_random_normal(random);
    const double depth = 1 + line->depth_sd * sp_random_normal(random);
    const sp_point a = shaken(line->a, line->sd_px, random);
    const double length_px = sp_point_distance(a, shaken(line->b, line->sd_px, random));
    return length_px > 0 ? distance_m * depth / length_px : NAN;
}

/* When a moment was, by what its frame means: `release` is the first frame on which a gap between
 * hand and ball can be seen, `contact` the last before the ball is met; the others are the nearest
 * frame. */
static double draw_moment(const sp_door *door, sp_known_moment moment, sp_random *random) {
    static const double before[] = {1, 0.5, 0.5, 0}, after[] = {0, 0.5, 0.5, 1};
    const int frame = door->moments[moment];
    double earliest_s = sp_door_time(door, frame - before[moment]);
    if (moment == SP_AT_RELEASE)
        earliest_s = fmin(earliest_s, sp_door_time(door, frame) - GAP_OPENS_S);
    return sp_random_uniform(random, earliest_s, sp_door_time(door, frame + after[moment]));
}

static void draw_depths(const sp_door *door, world *w, sp_random *random) {
    const double away_m = beside(door) ? CAMERA_BESIDE_M : CAMERA_ALONG_M;
    for (int i = 0; i < SP_POINT_COUNT; i++)
        w->nearer[i] = (i == SP_POINT_RACQUET_TIP ? TIP_OFF_M : POINT_OFF_M) / away_m *
                       sp_random_normal(random);
    const double head_m_per_s = beside(door) ? HEAD_DRIFT_BESIDE_M_PER_S : HEAD_DRIFT_ALONG_M_PER_S;
    w->ball_nears_per_s = TOSS_DRIFT_M_PER_S / away_m * sp_random_normal(random);
    w->head_nears_per_s = head_m_per_s / away_m * sp_random_normal(random);
}

static world draw_world(const sp_trial *trial, sp_random *random) {
    world w = {.m_per_px = 1};
    if (trial->door->scaled) w.m_per_px = draw_scale(&trial->line, random);
    const double tilt = trial->plumb.angle_deg + trial->plumb.sd_deg * sp_random_normal(random);
    w.right = sp_plumb_right(tilt);
    w.up = sp_plumb_up(tilt);
    for (int i = 0; i < SP_AT_COUNT; i++)
        w.moments_s[i] = draw_moment(trial->door, (sp_known_moment)i, random);
    w.drag_per_m = sp_random_uniform(random, DRAG_LOW, DRAG_HIGH);
    w.stature_m = sp_review_get_player(trial->door->review)->stature_m +
                  STATURE_SD_M * sp_random_normal(random);
    w.model = sp_random_normal(random);
    draw_depths(trial->door, &w, random);
    return w;
}

static sp_point in_plane(sp_point at, const world *w) {
    return (sp_point){w->m_per_px * sp_point_dot(at, w->right),
                      w->m_per_px * sp_point_dot(at, w->up)};
}

static bool is_of_head(sp_point_name name) {
    return name == SP_POINT_NOSE || name == SP_POINT_LEFT_EYE || name == SP_POINT_RIGHT_EYE ||
           name == SP_POINT_LEFT_EAR || name == SP_POINT_RIGHT_EAR;
}

/* A point nearer to a level camera than the plane is shown farther from the picture's middle
 * (pinhole projection), by as much as it is nearer. */
static sp_point seen_nearer(const sp_trial *trial, const sp_slot *slot, sp_point at,
                            const world *w) {
    const sp_review_clip *clip = trial->door->clip;
    const sp_point middle = {clip->width / 2.0, clip->height / 2.0};
    const double nears_per_s = slot->name == SP_POINT_BALL ? w->ball_nears_per_s
                               : is_of_head(slot->name)    ? w->head_nears_per_s
                                                           : 0;
    const double nearer =
        w->nearer[slot->name] + nears_per_s * (slot->time_s - w->moments_s[SP_AT_CONTACT]);
    return sp_point_add(middle, sp_point_times(sp_point_subtract(at, middle), 1 + nearer));
}

/* `deep` counts that points lie off the plane: it moves heights and distances. Angles and speeds
 * are `flat`: they are said to be those in the picture. */
static void draw_places(const sp_trial *trial, const world *w, sp_random *random) {
    for (size_t i = 0; i < trial->door->slot_count; i++) {
        const sp_slot *slot = &trial->door->slots[i];
        const sp_point at = shaken(slot->at, slot->sd_px, random);
        trial->flat[i] = in_plane(at, w);
        trial->deep[i] = in_plane(seen_nearer(trial, slot, at, w), w);
    }
}

/* The ball is met in the same rows as the path's last point: a rolling shutter shifts both. */
static double met_at(const sp_trial *trial, const sp_plan *plan, const world *w) {
    const sp_slot *last = &trial->door->slots[plan->path[plan->path_count - 1]];
    return w->moments_s[SP_AT_CONTACT] + last->time_s - sp_door_time(trial->door, last->frame);
}

static double evaluate(const sp_trial *trial, const sp_plan *plan, const world *w) {
    sp_point at[SP_MEASURE_POINTS_MAX];
    sp_sample path[SP_PATH_MAX];
    const sp_seen seen = plan->row->seen;
    const sp_point *places =
        seen == SP_SEEN_WHOLE || seen == SP_SEEN_LENGTH ? trial->deep : trial->flat;
    for (int i = 0; i < plan->at_count; i++) at[i] = places[plan->at[i]];
    for (size_t i = 0; i < plan->path_count; i++)
        path[i] = (sp_sample){trial->door->slots[plan->path[i]].time_s, places[plan->path[i]]};
    const sp_evidence evidence = {
        .at = at,
        .ground = plan->ground < 0 ? (sp_point){NAN, NAN} : places[plan->ground],
        .path = path,
        .path_count = plan->path_count,
        .window = &plan->window,
        .from_s = w->moments_s[plan->from],
        .to_s = plan->path_count > 0 ? met_at(trial, plan, w) : w->moments_s[plan->to],
        .lean = trial->door->view == SP_VIEW_SIDE ? 1 : -1,
        .stature_m = w->stature_m,
        .drag_per_m = w->drag_per_m,
        .model = w->model,
    };
    return plan->evaluate(&evidence);
}

void sp_trial_run(const void *inputs, sp_random *random, double *outputs) {
    const sp_trial *trial = inputs;
    const world w = draw_world(trial, random);
    draw_places(trial, &w, random);
    for (size_t i = 0; i < trial->plan_count; i++) {
        const sp_plan *plan = &trial->plans[i];
        outputs[i] =
            plan->divides ? outputs[plan->of[0]] / outputs[plan->of[1]] : evaluate(trial, plan, &w);
    }
    outputs[trial->plan_count] = w.m_per_px;
}
