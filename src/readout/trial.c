#include "readout/trial.h"

#include <math.h>

#include "serveplumb/flight.h"

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
/* A gap is seen when it is a centimetre wide, which it is 26 ms after a hand that slows down with
 * 30 m/s^2 has let go (derived; the slowing is assumed). */
static const double GAP_OPENS_S = 0.03;
/* Half of 2 5/8 inches (ITF Appendix I). */
static const double BALL_RADIUS_M = 0.0335;
/* Down, as a serve lands: met at 2.8 m, 0.6 s before (derived: 2.8 / 0.6 + 9.8 x 0.6 / 2). */
static const double BOUNCE_FALL_M_PER_S = 7.6;

/* --- one draw -------------------------------------------------------------------------------- */
typedef struct {
    sp_map map;
    double moments_s[SP_AT_COUNT];
    double drag_per_m, stature_m, model;
    double bounce_share; /* how much of half a frame the ball was marked off its bounce */
    double nearer_m[SP_POINT_COUNT]; /* each point than the plane */
    double ball_nears_m_per_s, head_nears_m_per_s;
} world;

/* When a moment was, by what its frame means: `release` is the first frame on which a gap between
 * hand and ball can be seen, `contact` the last before the ball is met; the others are the nearest
 * frame. */
static double draw_moment(const sp_door *door, sp_known_moment moment, sp_random *random) {
    static const double before[] = {1, 0.5, 0.5, 0, 0.5}, after[] = {0, 0.5, 0.5, 1, 0.5};
    const int frame = door->moments[moment];
    double earliest_s = sp_door_time(door, frame - before[moment]);
    if (moment == SP_AT_RELEASE)
        earliest_s = fmin(earliest_s, sp_door_time(door, frame) - GAP_OPENS_S);
    return sp_random_uniform(random, earliest_s, sp_door_time(door, frame + after[moment]));
}

static void draw_depths(const sp_door *door, world *w, sp_random *random) {
    for (int i = 0; i < SP_POINT_COUNT; i++)
        w->nearer_m[i] =
            (i == SP_POINT_RACQUET_TIP ? TIP_OFF_M : POINT_OFF_M) * sp_random_normal(random);
    const double head_m_per_s =
        door->view == SP_VIEW_SIDE ? HEAD_DRIFT_BESIDE_M_PER_S : HEAD_DRIFT_ALONG_M_PER_S;
    w->ball_nears_m_per_s = TOSS_DRIFT_M_PER_S * sp_random_normal(random);
    w->head_nears_m_per_s = head_m_per_s * sp_random_normal(random);
}

/* The taps come first: where the feet are seen, the plane stands. */
static world draw_world(const sp_trial *trial, sp_random *random) {
    const sp_door *door = trial->door;
    world w;
    for (size_t i = 0; i < door->slot_count; i++)
        trial->seen[i] = sp_map_shaken(door->slots[i].at, door->slots[i].sd_px, random);
    w.map = sp_map_draw(door, trial->scales, trial->plumb, trial->seen, random);
    for (int i = 0; i < SP_AT_COUNT; i++)
        w.moments_s[i] = draw_moment(door, (sp_known_moment)i, random);
    w.drag_per_m =
        sp_flight_drag_per_m(sp_random_uniform(random, SP_FLIGHT_CD_LOW, SP_FLIGHT_CD_HIGH)) *
        (1 + SP_FLIGHT_AIR_SD * sp_random_normal(random));
    w.bounce_share = sp_random_uniform(random, 0, 1);
    w.stature_m =
        sp_review_get_player(door->review)->stature_m + STATURE_SD_M * sp_random_normal(random);
    w.model = sp_random_normal(random);
    draw_depths(door, &w, random);
    return w;
}

static bool is_of_head(sp_point_name name) {
    return name == SP_POINT_NOSE || name == SP_POINT_LEFT_EYE || name == SP_POINT_RIGHT_EYE ||
           name == SP_POINT_LEFT_EAR || name == SP_POINT_RIGHT_EAR;
}

static double nearer_m(const sp_slot *slot, const world *w) {
    const double nears_m_per_s = slot->name == SP_POINT_BALL ? w->ball_nears_m_per_s
                                 : is_of_head(slot->name)    ? w->head_nears_m_per_s
                                                             : 0;
    return w->nearer_m[slot->name] + nears_m_per_s * (slot->time_s - w->moments_s[SP_AT_CONTACT]);
}

/* `deep` counts that points lie off the plane: it moves heights and distances. Angles and speeds
 * are `flat`: they are said to be those in the picture. */
static void draw_places(const sp_trial *trial, const world *w) {
    for (size_t i = 0; i < trial->door->slot_count; i++) {
        trial->flat[i] = sp_map_flat(&w->map, trial->door, trial->seen[i]);
        trial->deep[i] =
            sp_map_nearer(&w->map, trial->flat[i], nearer_m(&trial->door->slots[i], w));
    }
}

/* Where the front foot stands; NAN where the measure does not ask. */
static sp_point ground_of(const sp_trial *trial, const sp_plan *plan, const sp_point *places,
                          const world *w) {
    if (plan->ground < 0) return (sp_point){NAN, NAN};
    return sp_map_ground(&w->map, trial->door, trial->scales->used, trial->seen[plan->ground],
                         places[plan->ground]);
}

/* From where the ball is met to the ground where it was marked, which is up to half a frame from
 * its bounce: so much higher it may be. */
static double flight_length(const sp_trial *trial, const sp_plan *plan, const world *w,
                            double *drop_m) {
    const sp_slot *met = &trial->door->slots[plan->at[0]], *down = &trial->door->slots[plan->at[1]];
    const double off_s = w->bounce_share * (sp_door_time(trial->door, down->frame + 0.5) -
                                            sp_door_time(trial->door, down->frame));
    const sp_world from = sp_map_place(&w->map, trial->flat[plan->at[0]], nearer_m(met, w));
    const double high_m = BALL_RADIUS_M + BOUNCE_FALL_M_PER_S * off_s;
    sp_point ground;
    if (!sp_map_on_ground(&w->map, trial->door, trial->seen[plan->at[1]], high_m, &ground))
        return NAN;
    *drop_m = from.z - high_m;
    return hypot(hypot(ground.x - from.x, ground.y - from.y), *drop_m);
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
    double drop_m = NAN;
    const double flight_m = plan->flies ? flight_length(trial, plan, w, &drop_m) : NAN;
    const sp_evidence evidence = {
        .at = at,
        .flight_m = flight_m,
        .drop_m = drop_m,
        .ground = ground_of(trial, plan, places, w),
        .path = path,
        .path_count = plan->path_count,
        .window = &plan->window,
        .from_s = w->moments_s[plan->from],
        .to_s = plan->flies            ? trial->door->slots[plan->at[1]].time_s
                : plan->path_count > 0 ? met_at(trial, plan, w)
                                       : w->moments_s[plan->to],
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
    draw_places(trial, &w);
    for (size_t i = 0; i < trial->plan_count; i++) {
        const sp_plan *plan = &trial->plans[i];
        outputs[i] =
            plan->divides ? outputs[plan->of[0]] / outputs[plan->of[1]] : evaluate(trial, plan, &w);
    }
    outputs[trial->plan_count] = sp_map_m_per_px(&w.map);
}
