#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "kinematics/free_fall.h"
#include "kinematics/toss_words.h"
#include "serveplumb/plane.h"
#include "serveplumb/toss.h"

static const double DEGREES = 57.295779513082320876798;
static const double COVERAGE_95 = 1.959963984540054;
static const double SEEN = 4.0;

/* What is the same for the best camera and for each that differs a little from it. */
typedef struct {
    const sp_sample *seen;
    size_t count;
    const sp_toss_place *place;
    double sd_px, drag_per_m;
    sp_sample *in_plane;     /* room for count */
    sp_whitening *whitening; /* the same */
} task;

/* Covariance J J^T sd^2 of a tap taken into the plane, as the inverse of its lower triangle. */
static sp_whitening whitening_of(sp_jacobian j, double sd_px) {
    const double xx = j.xx * j.xx + j.xy * j.xy, xy = j.xx * j.yx + j.xy * j.yy;
    const double yy = j.yx * j.yx + j.yy * j.yy;
    const double l11 = sqrt(xx), l21 = xy / l11, l22 = sqrt(yy - l21 * l21);
    return (sp_whitening){1 / (sd_px * l11), -l21 / (sd_px * l11 * l22), 1 / (sd_px * l22)};
}

static bool plane_of(const sp_camera *camera, const sp_toss_place *place, sp_point foot_px,
                     sp_plane *plane, sp_error *error) {
    sp_point foot;
    return sp_ground_from_picture(camera, foot_px, &foot, NULL, error) &&
           sp_plane_through(camera, foot, place->direction, plane, error);
}

static bool fall_in(const task *work, const sp_plane *plane, sp_free_fall *fall, sp_error *error) {
    for (size_t i = 0; i < work->count; i++) {
        sp_jacobian jacobian;
        work->in_plane[i].time_s = work->seen[i].time_s;
        if (!sp_plane_from_picture(plane, work->seen[i].at, &work->in_plane[i].at, &jacobian,
                                   error))
            return false;
        work->whitening[i] = whitening_of(jacobian, work->sd_px);
    }
    return sp_free_fall_fit(work->in_plane, work->whitening, work->count,
                            (sp_air){work->drag_per_m, 1}, fall, error);
}

static sp_point acceleration_of(const sp_free_fall *fall) {
    return (sp_point){2 * fall->path.x[2], 2 * fall->path.y[2]};
}

static double tilt_deg(sp_point acceleration) {
    return atan2(-acceleration.x, -acceleration.y) * DEGREES;
}

/* --- deviations ------------------------------------------------------------------------------ */

/* Squares of the relative change of gravity and of the change of tilt. */
typedef struct {
    double gravity, tilt;
} squares;

static bool add_change(const task *work, const sp_camera *camera, sp_point foot_px, sp_point best,
                       squares *sum, sp_error *error) {
    sp_plane plane;
    sp_free_fall fall;
    if (!plane_of(camera, work->place, foot_px, &plane, error) ||
        !fall_in(work, &plane, &fall, error))
        return false;
    const sp_point changed = acceleration_of(&fall);
    const double relative = log(sp_point_length(changed) / sp_point_length(best));
    const double turned = tilt_deg(changed) - tilt_deg(best);
    sum->gravity += relative * relative;
    sum->tilt += turned * turned;
    return true;
}

/* One camera for each independent direction of its uncertainty, a deviation away, and two feet. */
static bool spread_of_pose(const task *work, sp_point best, squares *sum, sp_error *error) {
    const sp_toss_place *place = work->place;
    *sum = (squares){0, 0};
    for (int k = 0; k < SP_POSE_PARAMETERS; k++) {
        double normals[SP_POSE_PARAMETERS] = {0};
        normals[k] = 1;
        const sp_camera camera = sp_pose_vary(place->pose, normals);
        if (!add_change(work, &camera, place->foot_px, best, sum, error)) return false;
    }
    const sp_point aside = {place->foot_px.x + place->foot_sd_px, place->foot_px.y};
    const sp_point below = {place->foot_px.x, place->foot_px.y + place->foot_sd_px};
    return add_change(work, &place->pose->camera, aside, best, sum, error) &&
           add_change(work, &place->pose->camera, below, best, sum, error);
}

/* From the camera to the plane, at right angles: the scale grows with it. */
static double distance_to(const sp_plane *plane) {
    const sp_world from = sp_camera_position(&plane->camera);
    const sp_point way = {plane->foot.x - from.x, plane->foot.y - from.y};
    return fabs(sp_point_cross(way, plane->direction));
}

static double unit_sd(const sp_trajectory *path, sp_point along) {
    enum { X = 2, Y = 5, TERMS = 6 };
    const double *c = path->covariance;
    return 2 *
           sqrt(along.x * along.x * c[X * TERMS + X] + 2 * along.x * along.y * c[X * TERMS + Y] +
                along.y * along.y * c[Y * TERMS + Y]);
}

/* --- the whole ------------------------------------------------------------------------------- */

static void fill(const task *work, const sp_toss_options *options, const sp_plane *plane,
                 const sp_free_fall *fall, const squares *pose, sp_toss_gravity *gravity) {
    const sp_fall_noise noise = sp_fall_noise_of(fall, options->sd_px > 0 ? 1 : 0);
    const sp_point acceleration = acceleration_of(fall);
    const double size = sp_point_length(acceleration);
    const sp_point down = sp_point_times(acceleration, 1 / size), across = {-down.y, down.x};
    *gravity =
        (sp_toss_gravity){.count = work->count,
                          .span_s = work->seen[work->count - 1].time_s - work->seen[0].time_s,
                          .acceleration = acceleration,
                          .noise_sd = noise.noise * unit_sd(&fall->path, down) / size,
                          .pose_sd = sqrt(pose->gravity),
                          .depth_sd = work->place->depth_sd_m / distance_to(plane),
                          .drag_sd = options->plain ? SP_TOSS_PLAIN_SD : SP_TOSS_DRAG_SD,
                          .tilt_deg = tilt_deg(acceleration),
                          .rms_px = noise.rms * work->sd_px,
                          .noise_px = noise.noise * work->sd_px,
                          .bend = sp_fall_bend(fall, &noise)};
    gravity->tilt_sd_deg =
        hypot(noise.noise * unit_sd(&fall->path, across) / size * DEGREES, sqrt(pose->tilt));
    const double other =
        hypot(hypot(gravity->pose_sd, gravity->depth_sd), gravity->drag_sd) * COVERAGE_95;
    const double expanded = hypot(noise.coverage * gravity->noise_sd, other);
    gravity->gravity = (sp_interval){size, size * exp(-expanded), size * exp(expanded)};
    sp_fall_doubt(gravity->bend, gravity->rms_px, options->sd_px, gravity->doubt,
                  sizeof gravity->doubt);
}

static bool fit(const task *work, const sp_toss_options *options, sp_toss_gravity *gravity,
                sp_error *error) {
    sp_plane plane;
    sp_free_fall fall;
    squares pose;
    if (!plane_of(&work->place->pose->camera, work->place, work->place->foot_px, &plane, error) ||
        !fall_in(work, &plane, &fall, error) ||
        !spread_of_pose(work, acceleration_of(&fall), &pose, error))
        return false;
    fill(work, options, &plane, &fall, &pose, gravity);
    if (!(gravity->gravity.value * gravity->noise_sd * SEEN < gravity->gravity.value) ||
        !(fabs(gravity->tilt_deg) < 45))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the ball's path shows no fall along the plumb; take only frames between "
                       "release and contact, and more of them");
    return true;
}

bool sp_toss_fit_plane(const sp_sample *samples, size_t count, const sp_toss_place *place,
                       const sp_toss_options *options, sp_toss_gravity *gravity, sp_error *error) {
    assert(place->depth_sd_m >= 0 && place->foot_sd_px >= 0);
    const sp_toss_options nothing = {0};
    if (options == NULL) options = &nothing;
    task work = {.seen = samples,
                 .count = count,
                 .place = place,
                 .sd_px = options->sd_px > 0 ? options->sd_px : 1,
                 .drag_per_m = options->plain ? 0 : SP_DRAG_PER_M,
                 .in_plane = calloc(count + 1, sizeof *work.in_plane),
                 .whitening = calloc(count + 1, sizeof *work.whitening)};
    const bool done =
        work.in_plane != NULL && work.whitening != NULL
            ? fit(&work, options, gravity, error)
            : sp_fail(error, SP_ERROR_MEMORY, "no memory left for the toss's %zu frames", count);
    free(work.whitening);
    free(work.in_plane);
    return done;
}
