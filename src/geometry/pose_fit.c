#include "geometry/pose_fit.h"

#include <math.h>
#include <string.h>

#include "geometry/camera.h"
#include "geometry/least_squares.h"
#include "geometry/matrix3.h"

#define P SP_POSE_PARAMETERS
enum { FOCAL = 6, RADIAL = 7 };

/* Deviations of a sight depend on the camera (a place's own deviation is seen from there), so the
 * fit is repeated with those of the camera found; the second time nothing moves any more. */
#define ROUNDS 3
#define RESIDUALS_MAX (2 * SP_POSE_TAPS_MAX + 2)

typedef struct {
    const sp_sight *sights;
    size_t count;
    const sp_lens_belief *belief;
    sp_camera base;
    size_t free[P], free_count; /* which parameters are searched */
    /* Inverse of the lower triangle of each sight's covariance: whitened = W residual. */
    double whiten[SP_POSE_TAPS_MAX][3];
} search;

static void whiten_alike(search *task) {
    for (size_t i = 0; i < task->count; i++) {
        const double inverse = 1 / task->sights[i].sd_px;
        task->whiten[i][0] = inverse;
        task->whiten[i][1] = 0;
        task->whiten[i][2] = inverse;
    }
}

static void whiten_as_seen(search *task) {
    for (size_t i = 0; i < task->count; i++) {
        const sp_sight *sight = &task->sights[i];
        const double sd[3] = {sight->sd.x, sight->sd.y, sight->sd.z};
        sp_projection seen;
        sp_camera_derive(&task->base, sight->at, &seen);
        double xx = sight->sd_px * sight->sd_px, xy = 0, yy = xx;
        for (int k = 0; k < 3; k++) {
            const double x = seen.by_place[0][k] * sd[k], y = seen.by_place[1][k] * sd[k];
            xx += x * x;
            xy += x * y;
            yy += y * y;
        }
        const double l11 = sqrt(xx), l21 = xy / l11, l22 = sqrt(yy - l21 * l21);
        task->whiten[i][0] = 1 / l11;
        task->whiten[i][1] = -l21 / (l11 * l22);
        task->whiten[i][2] = 1 / l22;
    }
}

static void choose_free(search *task) {
    task->free_count = 0;
    for (size_t k = 0; k < P; k++) {
        const bool known = (k == FOCAL && task->belief->focal_sd == 0) ||
                           (k == RADIAL && task->belief->radial_sd == 0);
        if (!known) task->free[task->free_count++] = k;
    }
}

static bool believed(double sd) { return sd > 0 && !isinf(sd); }

static size_t residual_count(const search *task) {
    return 2 * task->count + (believed(task->belief->focal_sd) ? 1 : 0) +
           (believed(task->belief->radial_sd) ? 1 : 0);
}

/* --- residuals ------------------------------------------------------------------------------- */

static void put_row(const search *task, const double full[P], double *row) {
    for (size_t k = 0; k < task->free_count; k++) row[k] = full[task->free[k]];
}

/* The turn's columns are by a turn on top of the change; the jacobian takes them to the change. */
static void by_change(const double jacobian[9], double row[P]) {
    double turned[3];
    sp_matrix3_apply_transposed(jacobian, row, turned);
    memcpy(row, turned, sizeof turned);
}

static void whitened_rows(const search *task, size_t i, const double jacobian[9],
                          const sp_projection *seen, double *rows) {
    const double *w = task->whiten[i];
    double x[P], y[P];
    for (size_t k = 0; k < P; k++) {
        x[k] = w[0] * seen->by_parameters[0][k];
        y[k] = w[1] * seen->by_parameters[0][k] + w[2] * seen->by_parameters[1][k];
    }
    by_change(jacobian, x);
    by_change(jacobian, y);
    put_row(task, x, rows);
    put_row(task, y, rows + task->free_count);
}

/* What was believed of one parameter is one more residual. */
static void believe(const search *task, size_t parameter, double off, double sd, size_t *at,
                    double *residuals, double *derivatives) {
    if (!believed(sd)) return;
    double full[P] = {0};
    full[parameter] = 1 / sd;
    if (residuals != NULL) residuals[*at] = off / sd;
    if (derivatives != NULL) put_row(task, full, derivatives + *at * task->free_count);
    (*at)++;
}

static void residuals_at(const double *parameters, const void *data, double *residuals,
                         double *derivatives) {
    const search *task = data;
    double change[P] = {0}, jacobian[9];
    for (size_t k = 0; k < task->free_count; k++) change[task->free[k]] = parameters[k];
    const sp_camera camera = sp_camera_changed(&task->base, change);
    sp_turn_jacobian(change, jacobian);
    for (size_t i = 0; i < task->count; i++) {
        sp_projection seen;
        sp_camera_derive(&camera, task->sights[i].at, &seen);
        const sp_point off = sp_point_subtract(seen.at, task->sights[i].seen);
        if (residuals != NULL) {
            residuals[2 * i] = task->whiten[i][0] * off.x;
            residuals[2 * i + 1] = task->whiten[i][1] * off.x + task->whiten[i][2] * off.y;
        }
        if (derivatives != NULL)
            whitened_rows(task, i, jacobian, &seen, derivatives + 2 * i * task->free_count);
    }
    size_t at = 2 * task->count;
    const sp_lens_belief *belief = task->belief;
    if (believed(belief->focal_sd))
        believe(task, FOCAL, log(camera.focal_px / belief->focal_px), belief->focal_sd, &at,
                residuals, derivatives);
    believe(task, RADIAL, camera.radial - belief->radial, belief->radial_sd, &at, residuals,
            derivatives);
}

/* --- the search ------------------------------------------------------------------------------ */

static void spread_covariance(const search *task, const double *narrow, double *full) {
    memset(full, 0, sizeof(double) * P * P);
    for (size_t i = 0; i < task->free_count; i++)
        for (size_t j = 0; j < task->free_count; j++)
            full[task->free[i] * P + task->free[j]] = narrow[i * task->free_count + j];
}

static bool search_round(search *task, double *sum, double *covariance) {
    double parameters[P] = {0};
    if (!sp_least_squares(residuals_at, task, residual_count(task), task->free_count, parameters,
                          sum, covariance))
        return false;
    double change[P] = {0};
    for (size_t k = 0; k < task->free_count; k++) change[task->free[k]] = parameters[k];
    task->base = sp_camera_changed(&task->base, change);
    return true;
}

static bool search_from(search *task, const sp_camera *start, sp_pose_fit *fit) {
    task->base = *start;
    whiten_alike(task);
    double narrow[P * P] = {0};
    for (int round = 0; round < ROUNDS; round++) {
        if (!search_round(task, &fit->sum, round == ROUNDS - 1 ? narrow : NULL)) return false;
        whiten_as_seen(task);
    }
    fit->camera = task->base;
    spread_covariance(task, narrow, fit->covariance);
    return true;
}

/* The sum of squares at a camera as it is. */
static void measure_at(search *task, const sp_camera *camera, sp_pose_fit *fit) {
    task->base = *camera;
    whiten_alike(task);
    double residuals[RESIDUALS_MAX] = {0};
    const double nothing[P] = {0};
    residuals_at(nothing, task, residuals, NULL);
    *fit = (sp_pose_fit){.camera = *camera};
    for (size_t i = 0; i < residual_count(task); i++) fit->sum += residuals[i] * residuals[i];
}

static int surplus_of(const search *task) {
    const sp_lens_belief *belief = task->belief;
    return 2 * (int)task->count - 6 - (isinf(belief->focal_sd) ? 1 : 0) -
           (isinf(belief->radial_sd) ? 1 : 0);
}

sp_fit_outcome sp_pose_fit_sights(const sp_sight *sights, size_t count, sp_point centre,
                                  double unit_px, const sp_lens_belief *belief, sp_pose_fit *fit) {
    sp_camera starts[SP_POSE_STARTS_MAX];
    const size_t start_count = sp_pose_starts(sights, count, centre, unit_px, belief, starts);
    if (start_count == 0) return SP_FIT_NO_COURT;
    search task = {.sights = sights, .count = count, .belief = belief};
    choose_free(&task);
    bool settled = false;
    for (size_t i = 0; i < start_count; i++) {
        sp_pose_fit one;
        const bool done = search_from(&task, &starts[i], &one);
        if (settled && !done) continue;
        if (!done) measure_at(&task, &starts[i], &one);
        if (i > 0 && settled == done && one.sum >= fit->sum) continue;
        *fit = one;
        settled = done;
    }
    fit->surplus = surplus_of(&task);
    return settled ? SP_FIT_DONE : SP_FIT_OPEN;
}
