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
/* k = rho Cd A / (2 m): 0.0185 by free flight (Cross and Lindsey 2013, Cd 0.507), 0.0237 by wind
 * tunnel (Cd 0.65; Mehta, Alam and Subic 2008); rho 1.204, 66.7 mm, 57.7 g. */
static const double DRAG_LOW = 0.01848, DRAG_HIGH = 0.02370;

/* --- what is known --------------------------------------------------------------------------- */
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
} world;

static sp_point shaken(sp_point at, double sd_px, sp_random *random) {
    at.x += sd_px * sp_random_normal(random);
    at.y += sd_px * sp_random_normal(random);
    return at;
}

static double draw_scale(const sp_line *line, sp_random *random) {
    const double distance_m = line->distance_m + line->distance_sd_m * sp_random_normal(random);
    const double depth = 1 + SP_SCALE_DEPTH_SD * sp_random_normal(random);
    const sp_point a = shaken(line->a, line->sd_px, random);
    const double length_px = sp_point_distance(a, shaken(line->b, line->sd_px, random));
    return length_px > 0 ? distance_m * depth / length_px : NAN;
}

/* When a moment was, by what its frame means: `release` is the first frame after the ball has left
 * the hand, `contact` the last before it is met; the others are the nearest frame. */
static double draw_moment(const sp_door *door, sp_known_moment moment, sp_random *random) {
    static const double before[] = {1, 0.5, 0.5, 0}, after[] = {0, 0.5, 0.5, 1};
    const int frame = door->moments[moment];
    return sp_random_uniform(random, sp_door_time(door, frame - before[moment]),
                             sp_door_time(door, frame + after[moment]));
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
    return w;
}

static sp_point place_of(const sp_slot *slot, const world *w, sp_random *random) {
    const sp_point at = shaken(slot->at, slot->sd_px, random);
    return (sp_point){w->m_per_px * sp_point_dot(at, w->right),
                      w->m_per_px * sp_point_dot(at, w->up)};
}

/* The ball is met in the same rows as the path's last point: a rolling shutter shifts both. */
static double met_at(const sp_trial *trial, const sp_plan *plan, const world *w) {
    const sp_slot *last = &trial->door->slots[plan->path[plan->path_count - 1]];
    return w->moments_s[SP_AT_CONTACT] + last->time_s - sp_door_time(trial->door, last->frame);
}

static double evaluate(const sp_trial *trial, const sp_plan *plan, const world *w) {
    sp_point at[SP_MEASURE_POINTS_MAX];
    sp_sample path[SP_PATH_MAX];
    for (int i = 0; i < plan->at_count; i++) at[i] = trial->places[plan->at[i]];
    for (size_t i = 0; i < plan->path_count; i++)
        path[i] =
            (sp_sample){trial->door->slots[plan->path[i]].time_s, trial->places[plan->path[i]]};
    const sp_evidence evidence = {
        .at = at,
        .ground = plan->ground < 0 ? (sp_point){NAN, NAN} : trial->places[plan->ground],
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
    for (size_t i = 0; i < trial->door->slot_count; i++)
        trial->places[i] = place_of(&trial->door->slots[i], &w, random);
    for (size_t i = 0; i < trial->plan_count; i++)
        outputs[i] = evaluate(trial, &trial->plans[i], &w);
    outputs[trial->plan_count] = w.m_per_px;
}
