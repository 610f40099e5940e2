#include "geometry/pose_doubt.h"

#include <math.h>
#include <stdio.h>

#include <gsl/gsl_cdf.h>

#include "geometry/camera.h"

/* An explanation must fit about as well as honest taps do (their deviation may be understated)...
 */
static const double FITS = 3.0;
/* ... and take away a sum of squares that chance gives one tap in 270,000 (chi-squared of 2
 * degrees of freedom above 25), counted in units of what is then left. */
static const double DROP = 25.0;
/* Only what is worse than chance gives one time in a hundred is looked into: every pair of names is
 * then tried. */
static const double CHANCE = 0.01;
/* Numbers left over that an explanation needs to be one: five places less the usual unknowns. */
#define SURPLUS_MIN 3

static size_t sights_of(const sp_pose_task *task, const sp_pose_variant *variant,
                        sp_sight sights[SP_POSE_TAPS_MAX]) {
    size_t used = 0;
    for (size_t i = 0; i < task->count; i++) {
        if (i == variant->left_out) continue;
        const size_t named = i == variant->one     ? variant->other
                             : i == variant->other ? variant->one
                                                   : i;
        const sp_landmark *landmark = task->taps[named].landmark;
        if (variant->mirrored) landmark = sp_landmark_mirrored(landmark);
        sights[used++] =
            (sp_sight){landmark->at, landmark->sd, task->taps[i].at, task->taps[i].sd_px};
    }
    return used;
}

sp_pose_variant sp_pose_as_named(const sp_pose_task *task) {
    return (sp_pose_variant){.left_out = task->count};
}

sp_fit_outcome sp_pose_fit_variant(const sp_pose_task *task, const sp_pose_variant *variant,
                                   sp_pose_fit *fit) {
    sp_sight sights[SP_POSE_TAPS_MAX];
    const size_t used = sights_of(task, variant, sights);
    return sp_pose_fit_sights(sights, used, task->centre, task->unit_px, &task->belief, fit);
}

double sp_pose_fit_misfit(const sp_pose_fit *fit) {
    return fit->surplus < 1 ? NAN : sqrt(fit->sum / fit->surplus);
}

bool sp_pose_fit_possible(const sp_pose_task *task, const sp_pose_variant *variant,
                          const sp_pose_fit *fit) {
    sp_sight sights[SP_POSE_TAPS_MAX];
    const size_t used = sights_of(task, variant, sights);
    if (!(sp_camera_position(&fit->camera).z > 0)) return false;
    sp_point seen;
    for (size_t i = 0; i < used; i++)
        if (!sp_camera_project(&fit->camera, sights[i].at, &seen)) return false;
    return true;
}

/* --- explanations ---------------------------------------------------------------------------- */

/* Whether the variant explains what `whole` does not; keeps the best in `best`. */
static bool explains(const sp_pose_task *task, const sp_pose_variant *variant,
                     const sp_pose_fit *whole, sp_pose_fit *best) {
    sp_pose_fit fit;
    if (sp_pose_fit_variant(task, variant, &fit) != SP_FIT_DONE) return false;
    if (fit.surplus < SURPLUS_MIN || !(sp_pose_fit_misfit(&fit) < FITS)) return false;
    if (!sp_pose_fit_possible(task, variant, &fit)) return false;
    const double left = fmax(1, fit.sum / fit.surplus);
    if (whole->sum - fit.sum < DROP * left || fit.sum >= best->sum) return false;
    *best = fit;
    return true;
}

static bool swap_explains(const sp_pose_task *task, const sp_pose_fit *whole,
                          sp_pose_variant *found) {
    sp_pose_fit best = {.sum = INFINITY};
    for (size_t i = 0; i < task->count; i++)
        for (size_t j = i + 1; j < task->count; j++) {
            sp_pose_variant variant = sp_pose_as_named(task);
            variant.one = i;
            variant.other = j;
            if (explains(task, &variant, whole, &best)) *found = variant;
        }
    return isfinite(best.sum);
}

static bool single_explains(const sp_pose_task *task, const sp_pose_fit *whole,
                            sp_pose_variant *found, sp_pose_fit *best) {
    best->sum = INFINITY;
    for (size_t i = 0; i < task->count; i++) {
        sp_pose_variant variant = sp_pose_as_named(task);
        variant.left_out = i;
        if (explains(task, &variant, whole, best)) *found = variant;
    }
    return isfinite(best->sum);
}

/* With all names mirrored a court fits just as well, from under the ground. */
static bool mirror_explains(const sp_pose_task *task) {
    sp_pose_variant variant = sp_pose_as_named(task);
    variant.mirrored = true;
    sp_pose_fit fit;
    return sp_pose_fit_variant(task, &variant, &fit) == SP_FIT_DONE &&
           !(sp_pose_fit_misfit(&fit) > FITS) && sp_pose_fit_possible(task, &variant, &fit);
}

/* The landmark that lies where `at` was tapped, unless it is tapped already. */
static const sp_landmark *lies_at(const sp_pose_task *task, const sp_pose_fit *fit, sp_point at,
                                  double near_px) {
    const sp_landmark *best = NULL;
    for (size_t k = 0; k < sp_landmark_count(); k++) {
        const sp_landmark *landmark = sp_landmark_at(k);
        bool tapped = false;
        for (size_t i = 0; i < task->count; i++) tapped |= task->taps[i].landmark == landmark;
        sp_point seen;
        if (tapped || !sp_camera_project(&fit->camera, landmark->at, &seen)) continue;
        const double distance = sp_point_distance(seen, at);
        if (distance >= near_px) continue;
        near_px = distance;
        best = landmark;
    }
    return best;
}

/* --- words ----------------------------------------------------------------------------------- */

static void say_single(const sp_pose_task *task, size_t which, const sp_pose_fit *without,
                       sp_pose *pose) {
    pose->suspect = (int)which;
    const sp_landmark_tap *tap = &task->taps[which];
    const sp_landmark *other = lies_at(task, without, tap->at, 6 * tap->sd_px + 2);
    const int length = snprintf(pose->doubt, sizeof pose->doubt,
                                "\"%s\" lies %.0f px from where the other landmarks put it",
                                tap->landmark->name, pose->taps[which].left_out_px);
    if (length < 0 || (size_t)length >= sizeof pose->doubt) return;
    if (other != NULL)
        snprintf(pose->doubt + length, sizeof pose->doubt - (size_t)length,
                 ", just where \"%s\" should be: name it so, or tap it anew", other->name);
    else
        snprintf(pose->doubt + length, sizeof pose->doubt - (size_t)length,
                 ": tap it anew, or leave it out");
}

static void say_swap(const sp_pose_task *task, const sp_pose_variant *swap, sp_pose *pose) {
    pose->suspect = (int)swap->one;
    snprintf(pose->doubt, sizeof pose->doubt,
             "\"%s\" and \"%s\" seem to be exchanged: with each named as the other, all landmarks "
             "agree",
             task->taps[swap->one].landmark->name, task->taps[swap->other].landmark->name);
}

static void leave_out_each(const sp_pose_task *task, sp_pose *pose) {
    for (size_t i = 0; i < task->count; i++) {
        sp_pose_tap *tap = &pose->taps[i];
        tap->expected = (sp_point){NAN, NAN};
        tap->left_out_px = NAN;
        sp_pose_variant variant = sp_pose_as_named(task);
        variant.left_out = i;
        sp_pose_fit fit;
        if (task->count < 6 || sp_pose_fit_variant(task, &variant, &fit) != SP_FIT_DONE ||
            !sp_camera_project(&fit.camera, tap->landmark->at, &tap->expected))
            continue;
        tap->left_out_px = sp_point_distance(task->taps[i].at, tap->expected);
    }
}

static bool worth_a_look(const sp_pose_fit *fit) {
    return fit->sum > DROP && fit->surplus >= 1 && gsl_cdf_chisq_Q(fit->sum, fit->surplus) < CHANCE;
}

/* Most general first: all names mirrored, two exchanged, one wrong. */
void sp_pose_doubt(const sp_pose_task *task, const sp_pose_fit *fit, sp_pose *pose) {
    pose->suspect = -1;
    pose->doubt[0] = '\0';
    leave_out_each(task, pose);
    const sp_pose_variant named = sp_pose_as_named(task);
    const bool possible = sp_pose_fit_possible(task, &named, fit);
    if (possible && !worth_a_look(fit)) return;
    sp_pose_variant found = named;
    sp_pose_fit best;
    if (!possible && mirror_explains(task)) {
        snprintf(pose->doubt, sizeof pose->doubt,
                 "left and right seem to be exchanged in all names: left is the left of the "
                 "server who looks at the net");
    } else if (swap_explains(task, fit, &found)) {
        say_swap(task, &found, pose);
    } else if (single_explains(task, fit, &found, &best)) {
        say_single(task, found.left_out, &best, pose);
    } else if (pose->misfit > FITS) {
        snprintf(pose->doubt, sizeof pose->doubt,
                 "the landmarks contradict one another: they lie %.0f px from where any one camera "
                 "would see them; check each name and edge",
                 pose->rms_px);
    }
}
