#include "scene.h"

#include "court.h"

static const double rates[] = {25.0, 30.0, 50.0, 60.0, 120.0, 120.0, 240.0, 240.0};

static uint64_t bits(uint64_t *dice) {
    /* splitmix64 (Steele, Lea and Flood 2014, from memory) */
    uint64_t z = (*dice += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

double dice_between(uint64_t *dice, double low, double high) {
    return low + (high - low) * (double)(bits(dice) >> 11) * 0x1p-53;
}

/* Box-Muller */
double dice_normal(uint64_t *dice) {
    const double radius = sqrt(-2.0 * log(1.0 - dice_between(dice, 0.0, 1.0)));
    return radius * cos(2.0 * M_PI * dice_between(dice, 0.0, 1.0));
}

/* --- the serve where it is ------------------------------------------------------------------- */

static vector turned(const scene *s, vector v) {
    const double c = cos(s->yaw), n = sin(s->yaw);
    return vec(c * v.x - n * v.y, n * v.x + c * v.y, v.z);
}

static vector leaned(const scene *s, vector v) {
    return turned(s, vec(v.x + s->lean_x * v.z, v.y + s->lean_y * v.z, v.z));
}

/* A tossed ball falls along the plumb: it leaves the hand and is met where the lean puts them, and
 * between and beyond them its way aside is even in time. */
static double toss_height_for_lean(const scene *s, double time) {
    const serve *v = &s->serve;
    const double left = flight_at(&v->toss, v->release_time).at.z;
    const double met = flight_at(&v->toss, 0.0).at.z;
    return left + (met - left) * (time - v->release_time) / -v->release_time;
}

static vector tossed(const scene *s, double time) {
    vector at = flight_at(&s->serve.toss, time).at;
    if (s->serve.left_handed) at.x = -at.x;
    const double high = toss_height_for_lean(s, time);
    at = sub(at, s->about);
    return add(s->place, turned(s, vec(at.x + s->lean_x * high, at.y + s->lean_y * high, at.z)));
}

/* As long a flight, turned to land in the box across. */
static vector aimed(const scene *s, vector v) {
    const serve *of = &s->serve;
    vector way = sub(flight_at(&of->shot, of->shot.bounce_time).at, of->shot.state[0].at);
    if (of->left_handed) way.x = -way.x;
    const double by =
        asin((s->target_x - tossed(s, 0.0).x) / hypot(way.x, way.y)) - atan2(way.x, way.y);
    return vec(cos(by) * v.x + sin(by) * v.y, cos(by) * v.y - sin(by) * v.x, v.z);
}

/* After the touch the ball flies as it would from where it is met. */
static vector struck(const scene *s, double time) {
    pose p;
    serve_pose(&s->serve, 0.0, &p);
    const vector met = p.at[AT_BALL];
    serve_pose(&s->serve, time, &p);
    return add(tossed(s, 0.0), aimed(s, sub(p.at[AT_BALL], met)));
}

vector scene_point(const scene *s, double time, body_point point) {
    if (point == AT_BALL && time > 0.0) return struck(s, time);
    if (point == AT_BALL && time > s->serve.release_time) return tossed(s, time);
    pose p;
    serve_pose(&s->serve, time, &p);
    return add(s->place, leaned(s, sub(p.at[point], s->about)));
}

vector scene_velocity(const scene *s, double time, body_point point) {
    const vector v = serve_velocity(&s->serve, time, point);
    if (point != AT_BALL || time < s->serve.release_time) return leaned(s, v);
    if (time > 0.0) return aimed(s, v);
    const double rise = toss_height_for_lean(s, 1.0) - toss_height_for_lean(s, 0.0);
    return turned(s, vec(v.x + s->lean_x * rise, v.y + s->lean_y * rise, v.z));
}

vector scene_toss_landing(const scene *s) { return tossed(s, s->serve.toss.bounce_time); }

double scene_time(const scene *s, int frame) { return (frame - s->touch - s->phase) / s->rate; }

bool scene_in_picture(const scene *s, spot seen) {
    return seen.x >= 0.0 && seen.y >= 0.0 && seen.x <= s->camera.width &&
           seen.y <= s->camera.height;
}

/* By the row, which moves with the point; false: behind the camera. */
static bool look(const scene *s, int frame, body_point point, double *when, spot *seen) {
    *when = scene_time(s, frame);
    for (int round = 0; round < 30; ++round) {
        if (!camera_sees(&s->camera, scene_point(s, *when, point), seen)) return false;
        *when = scene_time(s, frame) + seen->y / s->camera.height * s->camera.row_time;
        if (s->camera.row_time == 0.0) break;
    }
    return true;
}

bool scene_see(const scene *s, int frame, body_point point, spot *seen) {
    double when;
    return look(s, frame, point, &when, seen) && scene_in_picture(s, *seen);
}

/* The touch is seen: what is smeared on a frame is before it or after it. */
bool scene_see_smeared(scene *s, int frame, body_point point, spot *seen) {
    double when;
    if (!look(s, frame, point, &when, seen) || !scene_in_picture(s, *seen)) return false;
    const double open = when + s->exposure_s * dice_between(&s->dice, -0.5, 0.5);
    const double at = when < 0.0 ? fmin(open, -1e-6) : fmax(open, 1e-6);
    return camera_sees(&s->camera, scene_point(s, at, point), seen) && scene_in_picture(s, *seen);
}

double scene_when(const scene *s, int frame, body_point point) {
    double when;
    spot seen;
    look(s, frame, point, &when, &seen);
    return when;
}

vector scene_place(const scene *s, int frame, body_point point) {
    return scene_point(s, scene_when(s, frame, point), point);
}

vector scene_along(const scene *s) {
    if (s->view == VIEW_SIDE) return vec(0.0, 1.0, 0.0);
    return vec(s->serve.left_handed ? -1.0 : 1.0, 0.0, 0.0);
}

/* --- dice ------------------------------------------------------------------------------------ */

/* Players turn, lean and carry their arms differently, by so many degrees (standard deviation);
 * `share` of it is added to the style. */
static void throw_style(uint64_t *d, double share, double style[CHANNEL_COUNT]) {
    static const struct {
        channel of;
        double sd;
    } habits[] = {{PELVIS_TURN, 6},   {PELVIS_LEAN_NET, 3}, {PELVIS_LEAN_OFF, 3},
                  {CHEST_TURN, 7},    {CHEST_LEAN_NET, 4},  {CHEST_LEAN_OFF, 4},
                  {HIT_ABDUCTION, 5}, {HIT_FORWARD, 8},     {HIT_FLEXION, 4},
                  {HIT_DEVIATION, 4}, {OFF_ABDUCTION, 5},   {OFF_FORWARD, 8}};
    for (size_t i = 0; i < sizeof habits / sizeof *habits; ++i)
        style[habits[i].of] += share * habits[i].sd * dice_normal(d);
}

/* Balls are new, worn or fluffed up, in the ITF's limits of size and weight, in air of 0 to 35
 * degrees: half of the drag coefficients lie below that of free flight and half above (flight.h).
 */
static double throw_drag(uint64_t *d) {
    const double cd = dice_between(d, 0.0, 1.0) < 0.5 ? dice_between(d, 0.45, 0.507)
                                                      : dice_between(d, 0.507, 0.65);
    const double weight = dice_between(d, -0.029, 0.029), area = dice_between(d, -0.048, 0.048);
    return DRAG * cd / 0.507 * (1.0 + weight + area + dice_between(d, -0.06, 0.06));
}

static bool throw_serve(scene *s) {
    uint64_t *d = &s->dice;
    physique body = {.stature_m = dice_between(d, 1.55, 1.98),
                     .racquet_m = 0.685,
                     .overhang_m = dice_between(d, 0.005, 0.035)};
    throw_style(d, 1, body.style);
    const bool left = dice_between(d, 0.0, 1.0) < 0.25;
    s->drop_m = dice_between(d, -0.06, 0.10);
    s->serve.drag = throw_drag(d);
    if (!serve_plan(&s->serve, &body, s->drop_m, left)) return false;
    s->stature_said = body.stature_m + 0.01 * dice_normal(d);
    s->yaw = radians(8.0 * dice_normal(d));
    s->lean_x = 0.04 * dice_normal(d);
    s->lean_y = 0.06 * dice_normal(d);
    s->about = s->serve.stance;
    const double side = dice_between(d, 0.0, 1.0) < 0.5 ? -1.0 : 1.0;
    s->place = vec(side * dice_between(d, 0.15, 2.5), s->about.y, 0.0);
    s->target_x = -side * dice_between(d, 0.3, 3.8);
    return true;
}

/* At the fence or beside the court, in the height of a tripod or a raised hand, aimed by eye. */
static void place_camera(scene *s, const fixed *set) {
    uint64_t *d = &s->dice;
    camera *c = &s->camera;
    const bool large = dice_between(d, 0.0, 1.0) < 0.7 || set->large;
    *c = (camera){.width = large ? 1920 : 1280, .height = large ? 1080 : 720};
    const double height = dice_between(d, 1.0, 2.4);
    const double hitting = s->serve.left_handed ? -1.0 : 1.0;
    if (s->view == VIEW_SIDE) {
        s->away_m = dice_between(d, 6.0, 11.0);
        const double side = dice_between(d, 0.0, 1.0) < 0.75 ? hitting : -hitting;
        c->position = add(s->place, vec(side * s->away_m, dice_between(d, -1.0, 2.5), 0.0));
        c->look = add(s->place, vec(0.0, dice_between(d, 0.2, 2.0), 0.0));
    } else {
        const double way = s->view == VIEW_BACK ? -1.0 : 1.0;
        s->away_m = s->view == VIEW_BACK ? dice_between(d, 4.5, 8.0) : dice_between(d, 7.0, 13.0);
        c->position = add(s->place, vec(dice_between(d, -1.5, 1.5), way * s->away_m, 0.0));
        c->look = add(s->place, vec(dice_between(d, -0.8, 0.8), 0.0, 0.0));
    }
    c->position.z = height;
    c->look.z = dice_between(d, 1.2, 1.7);
    c->focal_px = c->height * s->away_m / dice_between(d, 4.2, 5.5);
    c->roll = radians(dice_normal(d));
    c->k1 = dice_between(d, 0.0, 1.0) < 0.5 ? 0.0 : 0.015 * dice_normal(d);
    /* A picture is read out before the next begins. */
    c->row_time = fmin(dice_between(d, 0.0, 0.018), dice_between(d, 0.3, 0.95) / s->rate);
    s->rows_said = dice_between(d, 0.0, 1.0) < 0.5;
    camera_aim(c);
}

static void throw_clip(scene *s, const fixed *set) {
    uint64_t *d = &s->dice;
    s->rate = rates[bits(d) % (sizeof rates / sizeof *rates)];
    if (set->rate > 0.0) s->rate = set->rate;
    /* The keyed times are the same in each serve: they must not fall on frames in step. */
    s->rate *= dice_between(d, 0.96, 1.04);
    /* By day or by lamps, each doubling as likely; not longer than a frame. */
    s->exposure_s = exp(dice_between(d, log(1.0 / 4000), log(fmin(1.0 / s->rate, 1.0 / 50))));
    s->exposure_said = dice_between(d, 0.0, 1.0) < 0.5;
    if (set->exposure_s > 0.0) {
        s->exposure_s = set->exposure_s;
        s->exposure_said = true;
    }
    s->phase = dice_between(d, 0.0, 1.0);
    s->touch = (int)ceil(1.3 * s->rate);
    s->frames = s->touch + (int)ceil(1.0 * s->rate);
    s->tap_sd = dice_between(d, 0.8, 2.5);
    if (set->tap_sd > 0.0) s->tap_sd = set->tap_sd;
}

bool scene_new(scene *s, uint64_t seed, const fixed *set) {
    s->dice = seed;
    const double view = dice_between(&s->dice, 0.0, 1.0);
    s->view = view < 0.5 ? VIEW_SIDE : view < 0.85 ? VIEW_BACK : VIEW_FRONT;
    if (set->view >= 0) s->view = set->view;
    if (!throw_serve(s)) return false;
    throw_clip(s, set);
    place_camera(s, set);
    return true;
}

void scene_film(scene *s, const fixed *set) {
    throw_clip(s, set);
    place_camera(s, set);
}

bool scene_again(scene *s, const scene *of, uint64_t seed, double wobble, double deeper_m) {
    *s = *of;
    s->dice = seed;
    uint64_t *d = &s->dice;
    physique body = of->serve.motion.physique;
    throw_style(d, wobble, body.style);
    s->drop_m += deeper_m + wobble * 0.04 * dice_normal(d);
    if (!serve_plan(&s->serve, &body, s->drop_m, of->serve.left_handed)) return false;
    s->yaw += wobble * radians(8.0 * dice_normal(d));
    s->lean_x += wobble * 0.04 * dice_normal(d);
    s->lean_y += wobble * 0.06 * dice_normal(d);
    s->about = s->serve.stance;
    s->place.x += wobble * 0.2 * dice_normal(d);
    s->phase = dice_between(d, 0.0, 1.0);
    return true;
}
