#include "readout/trial.h"

#include <math.h>

#include "serveplumb/flight.h"

/* Statures are said to the centimetre, barefoot. Assumed. */
static const double STATURE_SD_M = 0.01;
/* Where a point is from the feet's middle: beside it to the hitting side, ahead of it to the net,
 * with its scatter over players and kinds of serve. In the drop the racquet hangs behind the back;
 * the ball is met in front of the body. Any other lies within half a shoulder's width. Assumed.
 *
 * `wider`: by so much more the scatter that stands for a habit where the camera's height is not
 * known. Two points that differ in habit do so in the same way in each player, which scatters drawn
 * apart make smaller (by the coverage of `make truth`). */
typedef struct {
    double beside_m, ahead_m, sd_m, wider;
} habit;
static const habit ANY = {0, 0, 0.14, 1}, TIP = {-0.1, 0.6, 0.25, 1};
static const habit BALL_AT_CONTACT = {-0.05, 0.6, 0.2, 1};
static const habit HAND_IN_DROP = {0.05, -0.3, 0.12, 0.9}, HIP_IN_DROP = {-0.05, 0.15, 0.14, 1.3};
static const habit TIP_IN_DROP = {-0.15, -0.45, 0.14, 1.3};
/* A sideways stance tosses from half a metre beside the feet, to over them and forward, m/s; kinds
 * of serve differ by 0.3 m sideways in 0.75 s (Carboch and Suss 2015). */
static const habit BALL_PER_S = {-0.65, 0.55, 0.22, 1};
/* The body goes into the court with some 2 m/s about contact: along the line of sight from behind;
 * across it a fifth of that. Assumed. */
static const double HEAD_DRIFT_ALONG_M_PER_S = 2, HEAD_DRIFT_BESIDE_M_PER_S = 0.4;
/* A gap is seen when it is a centimetre wide, which it is 26 ms after a hand that slows down with
 * 30 m/s^2 has let go (derived; the slowing is assumed): from a fast hand to a slow one. */
static const double GAP_OPENS_S[] = {0, 0.040};
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
    double scatter[SP_POINT_COUNT]; /* standard normal: of each point off the plane */
    double ball_nears_m_per_s, head_nears_m_per_s;
} world;

/* When a moment was, by what its frame means: `release` is the first frame on which a gap between
 * hand and ball can be seen, `contact` the last before the ball is met; the others are the nearest
 * frame. */
static double draw_moment(const sp_door *door, sp_known_moment moment, sp_random *random) {
    /* The lowest of the frames need not be the one nearest to the lowest point: the tip comes down
     * slower than it rises. */
    static const double before[] = {1, 0.5, 0.57, 0, 0.5}, after[] = {0, 0.5, 0.57, 1, 0.5};
    const int frame = door->moments[moment];
    const double open_s = sp_random_uniform(random, GAP_OPENS_S[0], GAP_OPENS_S[1]);
    const double then_s = sp_random_uniform(random, sp_door_time(door, frame - before[moment]),
                                            sp_door_time(door, frame + after[moment]));
    return moment == SP_AT_RELEASE ? then_s - open_s : then_s;
}

/* How far a habit brings a point nearer to the camera, from the middle of its scatter. */
static double habit_nearer(const sp_door *door, habit h) {
    const sp_net net = sp_review_get_net(door->review);
    if (door->view == SP_VIEW_SIDE)
        return (net == SP_NET_RIGHT) == (door->hand == SP_HAND_RIGHT) ? h.beside_m : -h.beside_m;
    if (door->view == SP_VIEW_OBLIQUE) return 0;
    return net == SP_NET_TOWARD ? h.ahead_m : -h.ahead_m;
}

/* The same as one draw has it. A camera of unknown height cannot tell which way a nearer point is
 * shown off its place: then a habit is scatter like any other. */
static double habit_draw(const sp_door *door, const sp_map *map, habit h, double scatter) {
    const double nearer = habit_nearer(door, h);
    return map->by_court ? nearer + h.sd_m * scatter : h.wider * hypot(h.sd_m, nearer) * scatter;
}

static void draw_depths(const sp_door *door, world *w, sp_random *random) {
    for (int i = 0; i < SP_POINT_COUNT; i++) w->scatter[i] = sp_random_normal(random);
    const double head_m_per_s =
        door->view == SP_VIEW_SIDE ? HEAD_DRIFT_BESIDE_M_PER_S : HEAD_DRIFT_ALONG_M_PER_S;
    w->ball_nears_m_per_s = habit_draw(door, &w->map, BALL_PER_S, sp_random_normal(random));
    w->head_nears_m_per_s = head_m_per_s * sp_random_normal(random);
}

/* Half of the draws below the coefficient of free flight, half above. */
static double draw_drag(sp_random *random) {
    const double share = 2 * sp_random_uniform(random, 0, 1) - 1;
    const double way =
        share < 0 ? SP_FLIGHT_CD - SP_FLIGHT_CD_LOW : SP_FLIGHT_CD_HIGH - SP_FLIGHT_CD;
    return sp_flight_drag_per_m(SP_FLIGHT_CD + share * way) *
           (1 + SP_FLIGHT_AIR_SD * sp_random_normal(random));
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
    w.drag_per_m = draw_drag(random);
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

static habit habit_of(const sp_door *door, const sp_slot *slot) {
    const bool drop = slot->frame == door->moments[SP_AT_DROP];
    switch (slot->name) {
    case SP_POINT_BALL: return BALL_AT_CONTACT;
    case SP_POINT_RACQUET_TIP: return drop ? TIP_IN_DROP : TIP;
    case SP_POINT_LEFT_HIP:
    case SP_POINT_RIGHT_HIP: return drop ? HIP_IN_DROP : ANY;
    case SP_POINT_RIGHT_HAND:
    case SP_POINT_RIGHT_WRIST: return drop ? HAND_IN_DROP : ANY;
    default: return ANY;
    }
}

static double nearer_m(const sp_door *door, const sp_slot *slot, const world *w) {
    const double nears_m_per_s = slot->name == SP_POINT_BALL ? w->ball_nears_m_per_s
                                 : is_of_head(slot->name)    ? w->head_nears_m_per_s
                                                             : 0;
    return habit_draw(door, &w->map, habit_of(door, slot), w->scatter[slot->name]) +
           nears_m_per_s * (slot->time_s - w->moments_s[SP_AT_CONTACT]);
}

/* `deep` counts that points lie off the plane: it moves heights, distances and speeds. Angles are
 * `flat`: they are said to be those in the picture. */
static void draw_places(const sp_trial *trial, const world *w) {
    for (size_t i = 0; i < trial->door->slot_count; i++) {
        trial->flat[i] = sp_map_flat(&w->map, trial->door, trial->seen[i]);
        trial->deep[i] = sp_map_nearer(&w->map, trial->flat[i],
                                       nearer_m(trial->door, &trial->door->slots[i], w));
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
    const sp_world from =
        sp_map_place(&w->map, trial->flat[plan->at[0]], nearer_m(trial->door, met, w));
    const double high_m = BALL_RADIUS_M + BOUNCE_FALL_M_PER_S * off_s;
    sp_point ground;
    if (!sp_map_on_ground(&w->map, trial->door, trial->seen[plan->at[1]], high_m, &ground))
        return NAN;
    *drop_m = from.z - high_m;
    return hypot(hypot(ground.x - from.x, ground.y - from.y), *drop_m);
}

/* By how much a rolling shutter reads a mark's row later than its frame. */
static double row_share(const sp_trial *trial, int slot) {
    const sp_slot *mark = &trial->door->slots[slot];
    return mark->time_s - sp_door_time(trial->door, mark->frame);
}

/* The ball is met in the same rows as the path's last point: a rolling shutter shifts both. */
static double met_at(const sp_trial *trial, const sp_plan *plan, const world *w) {
    return w->moments_s[SP_AT_CONTACT] + row_share(trial, plan->path[plan->path_count - 1]);
}

static bool lies_deep(sp_seen seen) {
    return seen == SP_SEEN_WHOLE || seen == SP_SEEN_LENGTH || seen == SP_SEEN_SPEED;
}

static double evaluate(const sp_trial *trial, const sp_plan *plan, const world *w) {
    sp_point at[SP_MEASURE_POINTS_MAX];
    sp_sample path[SP_PATH_MAX];
    const sp_point *places = lies_deep(plan->row->seen) ? trial->deep : trial->flat;
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
        .from_s = w->moments_s[plan->from] + (plan->flies ? row_share(trial, plan->at[0]) : 0),
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
