#include "serveplumb/pose.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include <gsl/gsl_cdf.h>

#include "geometry/camera.h"
#include "geometry/numerics.h"
#include "geometry/pose_doubt.h"
#include "geometry/pose_layout.h"

#define P SP_POSE_PARAMETERS
enum { FOCAL = 6, RADIAL = 7 };

/* Residuals larger than chance gives one time in twenty widen the covariance; beyond this many
 * times the expected size the taps contradict one another. */
static const double CHANCE = 0.05;
static const double MISFIT_MAX = 3.0;
/* A phone's main lens, in half diagonals of the picture; anything from half to twice of it. */
static const double LENS_USUAL = 1.5;
static const double LENS_USUAL_SD = 0.5;
static const double COVERAGE_95 = 1.959963984540054;

static bool fail_outcome(sp_fit_outcome outcome, sp_error *error) {
    if (outcome == SP_FIT_NO_COURT)
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "the landmarks are seen on one line, which does not fix the court; film from "
            "higher, or tap landmarks that lie apart in the picture");
    return sp_fail(error, SP_ERROR_ARGUMENT,
                   "the focal length cannot be had from these landmarks: the court is seen square "
                   "from above, or too small; tap landmarks nearer and farther, or give the focal "
                   "length");
}

/* --- lens ------------------------------------------------------------------------------------ */

static sp_lens_belief belief_of(const sp_pose_options *options) {
    sp_lens_belief belief = {.focal_sd = INFINITY, .radial_sd = SP_POSE_LENS_SD};
    if (options->focal_px > 0) {
        belief.focal_px = options->focal_px;
        belief.focal_sd = options->focal_relative_sd;
    }
    if (options->radial_given) {
        belief.radial = options->radial;
        belief.radial_sd = 0;
    }
    return belief;
}

/* k1 from the landmarks alone where they tell it better than the assumption does. */
static bool lens_from_landmarks(sp_pose_task *task, sp_pose_fit *fit) {
    if (task->belief.radial_sd == 0 || task->count < SP_POSE_LENS_TAPS) return false;
    const sp_lens_belief assumed = task->belief;
    task->belief.radial_sd = INFINITY;
    const sp_pose_variant named = sp_pose_as_named(task);
    if (sp_pose_fit_variant(task, &named, fit) == SP_FIT_DONE &&
        sqrt(fit->covariance[RADIAL * P + RADIAL]) < SP_POSE_LENS_SD)
        return true;
    task->belief = assumed;
    return false;
}

/* A weak belief about the focal length lets the search settle where the landmarks leave it open, or
 * where they contradict one another so much that it runs away. Tells the two apart. */
static bool names_contradict(const sp_pose_task *task, sp_pose_fit *fit) {
    sp_pose_task weak = *task;
    weak.belief.focal_px = LENS_USUAL * task->unit_px;
    weak.belief.focal_sd = LENS_USUAL_SD;
    const sp_pose_variant named = sp_pose_as_named(&weak);
    return sp_pose_fit_variant(&weak, &named, fit) != SP_FIT_NO_COURT &&
           sp_pose_fit_misfit(fit) > MISFIT_MAX;
}

static bool find_camera(sp_pose_task *task, sp_pose_fit *fit, sp_error *error) {
    if (lens_from_landmarks(task, fit)) return true;
    const sp_pose_variant named = sp_pose_as_named(task);
    const sp_fit_outcome outcome = sp_pose_fit_variant(task, &named, fit);
    return outcome == SP_FIT_DONE || (outcome == SP_FIT_OPEN && names_contradict(task, fit)) ||
           fail_outcome(outcome, error);
}

/* --- what is told of it ---------------------------------------------------------------------- */

static void fill_residuals(const sp_pose_task *task, sp_pose *pose) {
    pose->count = task->count;
    double sum = 0;
    for (size_t i = 0; i < task->count; i++) {
        sp_projection seen;
        sp_camera_derive(&pose->camera, task->taps[i].landmark->at, &seen);
        pose->taps[i].landmark = task->taps[i].landmark;
        pose->taps[i].residual_px = sp_point_subtract(task->taps[i].at, seen.at);
        sum += sp_point_dot(pose->taps[i].residual_px, pose->taps[i].residual_px);
    }
    pose->rms_px = sqrt(sum / (double)task->count);
}

static void widen(const sp_pose_fit *fit, sp_pose *pose) {
    double factor = 1;
    if (fit->surplus >= 1 && gsl_cdf_chisq_Q(fit->sum, fit->surplus) < CHANCE)
        factor = fmax(1, fit->sum / fit->surplus);
    for (int k = 0; k < P * P; k++) pose->covariance[k] = fit->covariance[k] * factor;
}

/* Cholesky's triangle; a parameter without variance keeps a row of zeros. */
static void fill_factor(const double *covariance, double *factor) {
    memset(factor, 0, sizeof(double) * P * P);
    for (int i = 0; i < P; i++)
        for (int j = 0; j <= i; j++) {
            double left = covariance[i * P + j];
            for (int k = 0; k < j; k++) left -= factor[i * P + k] * factor[j * P + k];
            if (i == j)
                factor[i * P + i] = sqrt(fmax(0, left));
            else if (factor[j * P + j] > 0)
                factor[i * P + j] = left / factor[j * P + j];
        }
}

static sp_interval focal_interval(const sp_pose *pose) {
    const double sd = sqrt(pose->covariance[FOCAL * P + FOCAL]);
    const double focal = pose->camera.focal_px;
    return (sp_interval){focal, focal * exp(-COVERAGE_95 * sd), focal * exp(COVERAGE_95 * sd)};
}

static void fill_pose(const sp_pose_task *task, const sp_pose_fit *fit, sp_pose *pose) {
    pose->camera = fit->camera;
    pose->position = sp_camera_position(&fit->camera);
    pose->surplus = fit->surplus;
    pose->misfit = sp_pose_fit_misfit(fit);
    pose->lens = task->belief.radial_sd == 0     ? SP_LENS_GIVEN
                 : isinf(task->belief.radial_sd) ? SP_LENS_SOLVED
                                                 : SP_LENS_ASSUMED;
    widen(fit, pose);
    pose->radial_sd = sqrt(pose->covariance[RADIAL * P + RADIAL]);
    fill_factor(pose->covariance, pose->factor);
    pose->focal_px = focal_interval(pose);
    fill_residuals(task, pose);
    sp_pose_doubt(task, fit, pose);
}

/* --- whether it makes sense ------------------------------------------------------------------ */

static bool sensible(const sp_pose *pose, sp_error *error) {
    if (!(pose->misfit > MISFIT_MAX) && !(pose->position.z > 0))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the camera would be under the court; %s",
                       pose->doubt[0] != '\0' ? pose->doubt : "check the landmarks' names");
    if (pose->misfit > MISFIT_MAX) return sp_fail(error, SP_ERROR_MISMATCH, "%s", pose->doubt);
    for (size_t i = 0; i < pose->count; i++) {
        sp_point seen;
        if (!sp_camera_project(&pose->camera, pose->taps[i].landmark->at, &seen))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "\"%s\" would lie behind the camera; check its name",
                           pose->taps[i].landmark->name);
    }
    if (sqrt(pose->covariance[FOCAL * P + FOCAL]) > SP_POSE_FOCAL_SD_MAX)
        return fail_outcome(SP_FIT_OPEN, error);
    return true;
}

bool sp_pose_solve(const sp_landmark_tap *taps, size_t count, int width, int height,
                   const sp_pose_options *options, sp_pose *pose, sp_error *error) {
    assert(width > 0 && height > 0);
    const sp_pose_options nothing = {0};
    if (options == NULL) options = &nothing;
    assert(options->focal_px >= 0 && options->focal_relative_sd >= 0);
    if (!sp_pose_layout_check(taps, count, error)) return false;
    sp_geometry_by_status();
    sp_pose_task task = {.taps = taps,
                         .count = count,
                         .centre = {width / 2.0, height / 2.0},
                         .unit_px = hypot(width, height) / 2,
                         .belief = belief_of(options)};
    sp_pose_fit fit;
    if (!find_camera(&task, &fit, error)) return false;
    fill_pose(&task, &fit, pose);
    return sensible(pose, error);
}

sp_camera sp_pose_vary(const sp_pose *pose, const double normals[SP_POSE_PARAMETERS]) {
    double change[P] = {0};
    for (int i = 0; i < P; i++)
        for (int k = 0; k <= i; k++) change[i] += pose->factor[i * P + k] * normals[k];
    return sp_camera_changed(&pose->camera, change);
}
