#include "readout/trial.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "readout/habits.h"
#include "serveplumb/flight.h"

/* Statures are said to the centimetre, barefoot. Assumed. */
static const double STATURE_SD_M = 0.01;
/* A serve goes across, into a box 4.1 m wide (its middle 2.06 m beside the court's) some 17 m off
 * (ITF; the far line of the box is 18.3 m off): so far aside for each metre ahead, to the left from
 * the right of the centre mark; it lands anywhere in the box but for 0.3 m along its lines. Where
 * the server stands only the court tells. */
static const double BOX_MIDDLE_M = 2.06, BOX_AWAY_M = 17, CROSSES_SD = 0.06;
static const double CROSSES_EITHER_WAY_SD = 0.2;
/* A picture of which nobody said otherwise is read out in up to 20 ms, and always before the next
 * (phones; reference: methods). */
static const double ROW_TIME_MAX_S = 0.020;
/* A gap is seen when it is 0.5 to 2 cm wide; 2 cm wide it is 39 ms after a hand that slows down
 * with 26 m/s^2 has let go (derived; the slowing is assumed). */
static const double GAP_OPENS_S[] = {0.001, 0.039};
/* Half of 2 5/8 inches (ITF Appendix I). */
static const double BALL_RADIUS_M = 0.0335;
/* Down, as a serve lands: met at 2.8 m, 0.6 s before (derived: 2.8 / 0.6 + 9.8 x 0.6 / 2). */
static const double BOUNCE_FALL_M_PER_S = 7.6;

/* --- one draw -------------------------------------------------------------------------------- */
typedef struct {
    sp_map map;
    double row_time_s; /* first row to last */
    double exposure_s; /* of a row */
    double moments_s[SP_AT_COUNT];
    double drag_per_m, stature_m, model;
    double bounce_share; /* how much of half a frame the ball was marked off its bounce */
    /* standard normal: of each point off the plane, and in how it moves about contact */
    double scatter[SP_POINT_COUNT], moves[SP_POINT_COUNT];
    double fall_chance; /* standard normal */
    double ball_crosses;
    bool best;
} world;

static double draw_row_time(const sp_door *door, sp_random *random) {
    if (door->clip->row_time_s > 0) return door->clip->row_time_s;
    const double share = sp_random_uniform(random, 0, 1);
    if (random == NULL) return 0;
    const double rate = sp_door_rate(door, door->moments[SP_AT_CONTACT]);
    return share * (rate * ROW_TIME_MAX_S > 1 ? 1 / rate : ROW_TIME_MAX_S);
}

static double slot_time(const sp_slot *slot, const world *w) {
    return slot->frame_s + slot->row * w->row_time_s;
}

/* When a moment was, by what its frame means: `release` is the first frame on which a gap between
 * hand and ball can be seen, `contact` the last before the ball is met; the others are the nearest
 * frame. A rolling shutter reads later what is lower. */
static double draw_moment(const sp_door *door, sp_known_moment moment, double row_time_s,
                          sp_random *random) {
    /* The lowest of the frames need not be the nearest: the tip comes down slower than it rises. */
    static const double before[] = {1, 0.5, 0.5, 0, 0.5}, after[] = {0, 0.5, 0.53, 1, 0.5};
    const int frame = door->moments[moment];
    const double open_s = sp_random_uniform(random, GAP_OPENS_S[0], GAP_OPENS_S[1]);
    const double then_s = sp_random_uniform(random, sp_door_time(door, frame - before[moment]),
                                            sp_door_time(door, frame + after[moment])) +
                          door->moment_rows[moment] * row_time_s;
    return moment == SP_AT_RELEASE ? then_s - open_s : then_s;
}

static void draw_depths(world *w, sp_random *random) {
    for (int i = 0; i < SP_POINT_COUNT; i++) {
        w->scatter[i] = sp_random_normal(random);
        w->moves[i] = sp_random_normal(random);
    }
    w->fall_chance = sp_random_normal(random);
}

/* Half of the draws below the coefficient of free flight, half above. */
static double draw_drag(sp_random *random) {
    const double share = 2 * sp_random_uniform(random, 0, 1) - 1;
    const double way =
        share < 0 ? SP_FLIGHT_CD - SP_FLIGHT_CD_LOW : SP_FLIGHT_CD_HIGH - SP_FLIGHT_CD;
    return sp_flight_drag_per_m(SP_FLIGHT_CD + share * way) *
           (1 + SP_FLIGHT_AIR_SD * sp_random_normal(random));
}

/* By how much a struck ball comes nearer on each metre in the plane; from the side. */
static double draw_crossing(const sp_door *door, const sp_map *map, sp_random *random) {
    const double normal = sp_random_normal(random);
    const double right = sp_review_get_net(door->review) == SP_NET_RIGHT ? 1 : -1;
    if (!map->by_court || map->lost) return CROSSES_EITHER_WAY_SD * normal;
    const double from = map->plane.foot.x, to = from > 0 ? -BOX_MIDDLE_M : BOX_MIDDLE_M;
    return right * ((to - from) / BOX_AWAY_M + CROSSES_SD * normal);
}

/* The taps come first: where the feet are seen, the plane stands. */
static world draw_world(const sp_trial *trial, sp_random *random) {
    const sp_door *door = trial->door;
    world w = {.best = random == NULL};
    w.exposure_s = sp_shutter_draw(&trial->shutter, random);
    for (size_t i = 0; i < door->slot_count; i++) {
        const double open_s = w.exposure_s * sp_random_uniform(random, -0.5, 0.5);
        trial->seen[i] =
            sp_point_add(sp_map_shaken(door->slots[i].at, door->slots[i].sd_px, random),
                         sp_point_times(trial->way[i], open_s));
    }
    w.map = sp_map_draw(door, trial->scales, trial->plumb, trial->seen, random);
    w.row_time_s = draw_row_time(door, random);
    for (int i = 0; i < SP_AT_COUNT; i++)
        w.moments_s[i] = draw_moment(door, (sp_known_moment)i, w.row_time_s, random);
    w.drag_per_m = draw_drag(random);
    w.bounce_share = sp_random_uniform(random, 0, 1);
    w.stature_m =
        sp_review_get_player(door->review)->stature_m + STATURE_SD_M * sp_random_normal(random);
    w.model = sp_random_normal(random);
    draw_depths(&w, random);
    w.ball_crosses = draw_crossing(door, &w.map, random);
    return w;
}

/* How much nearer the ball is met than is usual. */
static double met_off_m(const sp_trial *trial, const world *w) {
    const sp_off_plane *ball = &trial->ball;
    return ball->sd_m * w->scatter[SP_POINT_BALL] +
           ball->per_s_sd * w->moves[SP_POINT_BALL] * SP_TOSS_S;
}

/* How much nearer to the camera than the plane. A camera whose place nobody knows cannot tell which
 * way a nearer point is shown off its place: then the best value leaves the habit out. */
static double nearer_m(const sp_trial *trial, int index, const world *w) {
    if (w->best && !w->map.by_court) return 0;
    const sp_slot *slot = &trial->door->slots[index];
    const sp_off_plane *off = &trial->off[index];
    double off_m = off->at_m + off->sd_m * w->scatter[slot->name];
    if (off->on == SP_POINT_BALL) {
        off_m += off->share * met_off_m(trial, w);
    } else if (off->on != SP_POINT_COUNT) {
        off_m += off->share * off->on_sd_m * w->scatter[off->on];
    }
    double since_s = slot_time(slot, w) - w->moments_s[SP_AT_CONTACT];
    if (slot->name == SP_POINT_BALL) {
        since_s = SP_TOSS_S + fmin(since_s, 0);
    } else if (!off->steady) {
        since_s = fmax(since_s, -SP_ABOUT_CONTACT_S);
    }
    const double per_s =
        off->per_s + off->per_s_sd * w->moves[slot->name] + off->swings * met_off_m(trial, w);
    return off_m + per_s * since_s;
}

/* A ball that was struck comes nearer, or goes, by a share of its way along the plane: of its true
 * way x, not of that which the picture shows. On its ray
 *     from + x = eye + (seen - eye) (1 - (off + share x) / away),
 * which is solved for x. */
static double crossed_m(const sp_trial *trial, size_t slot, double off_m, const world *w) {
    const sp_door *door = trial->door;
    const int met = door->ball_met;
    if (met < 0 || door->slots[slot].name != SP_POINT_BALL ||
        door->slots[slot].frame <= door->moments[SP_AT_CONTACT])
        return 0;
    const double eye = w->map.eye.x, from = trial->deep[met].x;
    const double seen = sp_map_turned(&w->map, trial->flat[slot]).x - eye;
    const double way = (eye + seen * (1 - off_m / w->map.away_m) - from) /
                       (1 + seen * w->ball_crosses / w->map.away_m);
    return w->ball_crosses * way;
}

static void place_deep(const sp_trial *trial, size_t slot, const world *w) {
    const double off_m = nearer_m(trial, (int)slot, w);
    trial->deep[slot] = sp_map_nearer(&w->map, sp_map_turned(&w->map, trial->flat[slot]),
                                      off_m + crossed_m(trial, slot, off_m, w));
}

/* --- the toss's fall ------------------------------------------------------------------------- */
static sp_fall_look look_at_fall(const sp_trial *trial, const world *w) {
    const sp_door *door = trial->door;
    const sp_off_plane *ball = &trial->ball;
    sp_fall_look look = {.count = trial->fall.count,
                         .eye_m = w->map.eye.y,
                         .away_m = w->map.away_m,
                         .near_sd = ball->sd_m,
                         .per_sd = ball->per_s_sd,
                         .chance = w->fall_chance};
    look.near_m = ball->at_m + look.near_sd * w->scatter[SP_POINT_BALL];
    look.per_s = ball->per_s + look.per_sd * w->moves[SP_POINT_BALL];
    double smear_px = 0;
    for (size_t i = 0; i < look.count; i++) {
        const sp_slot *slot = &door->slots[trial->fall.slots[i]];
        look.time_s[i] = SP_TOSS_S + slot_time(slot, w) - w->moments_s[SP_AT_CONTACT];
        look.height[i] = trial->flat[trial->fall.slots[i]].y;
        smear_px += sp_shutter_sd_px(trial->way[trial->fall.slots[i]], w->exposure_s);
    }
    if (look.count > 0)
        look.noise_m =
            hypot(trial->fall.sd_px, smear_px / (double)look.count) * sp_map_m_per_px(&w->map);
    return look;
}

/* The habit of where the ball is tossed gives way to what its fall shows. */
static void learn_from_fall(const sp_trial *trial, world *w) {
    const sp_fall_look look = look_at_fall(trial, w);
    double nearer_m, per_s, off;
    if (!sp_fall_tell(&look, &nearer_m, &per_s, &off)) return;
    w->scatter[SP_POINT_BALL] += nearer_m / look.near_sd;
    w->moves[SP_POINT_BALL] += per_s / look.per_sd;
}

static void show_flat(const sp_trial *trial, const world *w) {
    for (size_t i = 0; i < trial->door->slot_count; i++)
        trial->flat[i] = sp_map_flat(&w->map, trial->door, trial->seen[i]);
}

/* --- what all draws share -------------------------------------------------------------------- */
static bool lies_deep(sp_seen seen) {
    return seen == SP_SEEN_WHOLE || seen == SP_SEEN_LENGTH || seen == SP_SEEN_SPEED;
}

static sp_off_plane off_plane(const sp_door *door, const sp_slot *slot) {
    const sp_habit h = sp_habit_of(door, slot);
    sp_off_plane off = {.at_m = sp_depth_toward(door, h.at_m),
                        .sd_m = sp_depth_spread(door, h.sd_m),
                        .on = h.on,
                        .share = sp_depth_spread(door, h.share),
                        .per_s = sp_depth_toward(door, h.per_s),
                        .per_s_sd = sp_depth_spread(door, h.per_s_sd),
                        .swings = sp_depth_spread(door, h.swings),
                        .steady = h.steady};
    if (h.on != SP_POINT_BALL && h.on != SP_POINT_COUNT)
        off.on_sd_m = sp_depth_spread(door, sp_habit_in_drop(h.on).sd_m);
    return off;
}

static bool same_path(const sp_plan *one, const sp_plan *other) {
    return one->path_count == other->path_count && !one->divides && !other->divides &&
           lies_deep(one->row->seen) == lies_deep(other->row->seen) &&
           memcmp(one->path, other->path, one->path_count * sizeof *one->path) == 0;
}

static void ask_of(const sp_trial *trial, const sp_plan *plan) {
    if (!lies_deep(plan->row->seen)) return;
    for (int i = 0; i < plan->at_count; i++) trial->off[plan->at[i]].asked = true;
    for (size_t i = 0; i < plan->path_count; i++) trial->off[plan->path[i]].asked = true;
    if (plan->ground >= 0) trial->off[plan->ground].asked = true;
}

static void share_among_draws(sp_trial *trial) {
    static const sp_slot ball = {.name = SP_POINT_BALL};
    trial->ball = off_plane(trial->door, &ball);
    for (size_t i = 0; i < trial->door->slot_count; i++)
        trial->off[i] = off_plane(trial->door, &trial->door->slots[i]);
    for (size_t i = 0; i < trial->plan_count; i++) {
        ask_of(trial, &trial->plans[i]);
        size_t like = 0;
        while (like < i && !same_path(&trial->plans[like], &trial->plans[i])) like++;
        trial->plans[i].like = like;
    }
}

/* What the taps tell before anything is drawn. The fall: by a court alone; the height of another
 * camera, and what is plumb to it, are only guessed. */
void sp_trial_begin(sp_trial *trial) {
    share_among_draws(trial);
    const sp_found_scale *used = trial->scales->used;
    const sp_door *door = trial->door;
    const double m_per_px = used == NULL ? sp_map_usual_m_per_px(door) : used->m_per_px;
    trial->shutter = sp_shutter_of(door);
    for (size_t i = 0; i < door->slot_count; i++)
        trial->way[i] = sp_shutter_way(door, &door->slots[i], m_per_px);
    trial->fall = (sp_fall){0};
    if (used == NULL || used->entry->method != SP_SCALE_COURT) return;
    trial->fall = sp_fall_find(door);
    if (trial->fall.count == 0) return;
    const world w = draw_world(trial, NULL);
    show_flat(trial, &w);
    const sp_fall_look look = look_at_fall(trial, &w);
    double nearer_m, per_s, off;
    if (!sp_fall_tell(&look, &nearer_m, &per_s, &off) || off > SP_FALL_OFF_MAX)
        trial->fall.count = 0;
}

/* `deep` counts that points lie off the plane: it moves heights, distances and speeds. Angles are
 * `flat`: they are said to be those in the picture. */
static void draw_places(const sp_trial *trial, world *w) {
    const sp_door *door = trial->door;
    show_flat(trial, w);
    if (trial->fall.count > 0) learn_from_fall(trial, w);
    if (door->ball_met >= 0) place_deep(trial, (size_t)door->ball_met, w);
    for (size_t i = 0; i < door->slot_count; i++)
        if (trial->off[i].asked) place_deep(trial, i, w);
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
    const sp_slot *down = &trial->door->slots[plan->at[1]];
    const double off_s = w->bounce_share * (sp_door_time(trial->door, down->frame + 0.5) -
                                            sp_door_time(trial->door, down->frame));
    const sp_world from =
        sp_map_place(&w->map, trial->flat[plan->at[0]], nearer_m(trial, plan->at[0], w));
    const double high_m = BALL_RADIUS_M + BOUNCE_FALL_M_PER_S * off_s;
    sp_point ground;
    if (!sp_map_on_ground(&w->map, trial->door, trial->seen[plan->at[1]], high_m, &ground))
        return NAN;
    *drop_m = from.z - high_m;
    return hypot(hypot(ground.x - from.x, ground.y - from.y), *drop_m);
}

static double noise_of(const sp_trial *trial, const sp_plan *plan, const world *w) {
    if (plan->path_count == 0 && plan->at_count == 0) return NAN;
    const int slot = plan->path_count > 0 ? plan->path[plan->path_count - 1] : plan->at[0];
    return hypot(trial->door->slots[slot].sd_px,
                 sp_shutter_sd_px(trial->way[slot], w->exposure_s)) *
           sp_map_m_per_px(&w->map);
}

/* The path that was looked at last: several measures look at the same. */
typedef struct {
    size_t like; /* its first plan */
    sp_sample samples[SP_PATH_MAX];
    sp_path_fits fits;
} followed;

static void follow(const sp_trial *trial, const sp_plan *plan, const world *w,
                   const sp_point *places, followed *path) {
    if (path->like == plan->like) return;
    path->like = plan->like;
    path->fits.has_parabola = path->fits.has_strike = false;
    for (size_t i = 0; i < plan->path_count; i++)
        path->samples[i] =
            (sp_sample){slot_time(&trial->door->slots[plan->path[i]], w), places[plan->path[i]]};
}

static double evaluate(const sp_trial *trial, const sp_plan *plan, const world *w, followed *path) {
    sp_point at[SP_MEASURE_POINTS_MAX];
    const sp_point *places = lies_deep(plan->row->seen) ? trial->deep : trial->flat;
    for (int i = 0; i < plan->at_count; i++) at[i] = places[plan->at[i]];
    follow(trial, plan, w, places, path);
    double drop_m = NAN;
    const double flight_m = plan->flies ? flight_length(trial, plan, w, &drop_m) : NAN;
    const sp_evidence evidence = {
        .at = at,
        .flight_m = flight_m,
        .drop_m = drop_m,
        .ground = ground_of(trial, plan, places, w),
        .path = path->samples,
        .path_count = plan->path_count,
        .fits = &path->fits,
        .window = &plan->window,
        .noise = noise_of(trial, plan, w),
        .best = w->best,
        .from_s = w->moments_s[plan->from],
        .to_s = plan->flies            ? slot_time(&trial->door->slots[plan->at[1]], w)
                : plan->path_count > 0 ? w->moments_s[SP_AT_CONTACT]
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
    world w = draw_world(trial, random);
    followed path;
    path.like = SIZE_MAX;
    draw_places(trial, &w);
    for (size_t i = 0; i < trial->plan_count; i++) {
        const sp_plan *plan = &trial->plans[i];
        outputs[i] = plan->divides ? outputs[plan->of[0]] / outputs[plan->of[1]]
                                   : evaluate(trial, plan, &w, &path);
    }
    outputs[trial->plan_count] = sp_map_m_per_px(&w.map);
}
