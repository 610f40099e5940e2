/* What the toss tells: a ball in free flight falls with g, so its path gives the scale at the
 * ball's own distance, the true vertical, and whether the clip's clock is right.
 *
 * Samples are the ball on frames strictly between release and contact, in order, at real seconds
 * (the clip's time over the slowdown that is stated); times may be uneven. Pure functions; nothing
 * is owned. Model: constant gravity and drag along the path, k = rho Cd A / (2 m); no wind, no
 * spin. */
#ifndef SERVEPLUMB_TOSS_H
#define SERVEPLUMB_TOSS_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/interval.h"
#include "serveplumb/motion.h"
#include "serveplumb/plumb.h"
#include "serveplumb/pose.h"

/* Standard gravity (3rd CGPM 1901); 9.780 at the equator to 9.832 at the poles, taken as
 * rectangular. */
#define SP_GRAVITY 9.80665
#define SP_GRAVITY_HALF_WIDTH 0.0027
/* Deceleration by the air of a tennis ball, 1/m: Cd 0.507 (Cross and Lindsey 2013, new balls in
 * free flight), 66.7 mm, 57.7 g, air of 1.204 kg/m^3. */
#define SP_DRAG_PER_M 0.018482903
/* Relative deviation of the fitted acceleration from drag: with the model, from Cd 0.45..0.65;
 * without it, from 0.3 to 0.65 % that it is then too large (derived by simulation). */
#define SP_TOSS_DRAG_SD 0.0015
#define SP_TOSS_PLAIN_SD 0.004
/* How far drag and what else is not modelled may turn the vertical. */
#define SP_TOSS_PLUMB_SD_DEG 0.1
#define SP_TOSS_SAMPLES_MIN 5

/* Zero is the default. */
typedef struct {
    bool plain;   /* quadratics alone, drag neither modelled nor taken off */
    double sd_px; /* of one coordinate of one tap; 0: from the residuals alone */
} sp_toss_options;

typedef struct {
    size_t count;
    double span_s;             /* from first to last sample */
    sp_point acceleration;     /* px/s^2 in upright pixels (y down); drag taken off unless plain */
    double acceleration_px;    /* its magnitude */
    double acceleration_sd_px; /* of the magnitude, from noise alone */
    double rms_px;             /* of one coordinate's residuals, over the numbers left over */
    double noise_px;      /* the deviation that the intervals use: the given one, or that of the
                             residuals where they are larger than chance allows */
    sp_interval m_per_px; /* at the ball's distance, along the picture; g / |a| */
    double noise_sd, drag_sd, gravity_sd; /* its terms, relative */
    sp_plumb plumb;
    double bend; /* the greater cubic coefficient over its deviation: a free ball has |bend| < 4 */
    char doubt[320]; /* what seems wrong, in words with the next step; "" when nothing does */
} sp_toss;

/* Quadratics with drag taken off, by least squares over the true times. When the camera looks up or
 * down by p at the ball, its scale is too large by 1 / cos p (1 % at 8 degrees): then use the
 * plane. Errors: SP_ERROR_ARGUMENT when there are fewer than SP_TOSS_SAMPLES_MIN samples, times do
 * not increase, or the ball does not fall. */
bool sp_toss_fit(const sp_sample *samples, size_t count, const sp_toss_options *options,
                 sp_toss *toss, sp_error *error);

/* --- in the plane of motion ------------------------------------------------------------------ */

/* The vertical plane of the ball: through what is tapped on the ground, along `direction`
 * (plane.h), seen with `pose`. The ball may be off it by depth_sd_m (standard deviation). */
typedef struct {
    const sp_pose *pose;
    sp_point foot_px;
    double foot_sd_px;
    sp_point direction;
    double depth_sd_m;
} sp_toss_place;

typedef struct {
    size_t count;
    double span_s;
    sp_point acceleration; /* m/s^2; x along the plane, y up */
    sp_interval gravity;   /* its magnitude, m/s^2; 9.81 when pose and clock are right */
    double noise_sd, pose_sd, depth_sd, drag_sd; /* its terms, relative */
    double tilt_deg;    /* of the fitted up against the plane's, positive toward `direction` */
    double tilt_sd_deg; /* noise and pose */
    double rms_px, noise_px;
    double bend;
    char doubt[320];
} sp_toss_gravity;

/* As sp_toss_fit, but in metres of the plane: perspective, pitch and lens are in it, and each tap
 * counts by what it is worth there. options->sd_px 0: 1 px, scaled by the residuals. Errors: as for
 * sp_toss_fit, and those of plane.h. */
bool sp_toss_fit_plane(const sp_sample *samples, size_t count, const sp_toss_place *place,
                       const sp_toss_options *options, sp_toss_gravity *gravity, sp_error *error);

/* --- the clock ------------------------------------------------------------------------------- */

#define SP_SLOWDOWN_CANDIDATES_MAX 16

typedef struct {
    double slowdown;
    double off;      /* from the slowdown found, in standard deviations of its logarithm */
    bool compatible; /* |off| <= 2.58: 99 of 100 true ones are */
} sp_slowdown_candidate;

typedef struct {
    double stated;
    sp_interval factor;   /* true slowdown over the stated one: sqrt(g / (S |a|)) */
    sp_interval slowdown; /* the true one */
    double relative_sd;   /* of both */
    size_t count;
    /* The stated one first, then 1, 2, 4, 8 and the caller's, none twice. */
    sp_slowdown_candidate candidates[SP_SLOWDOWN_CANDIDATES_MAX];
    bool stated_compatible;
    int likely; /* the compatible one nearest to what was found, -1: none */
} sp_slowdown_check;

/* Further candidates that the caller has reason for, such as capture rates over the clip's own;
 * NULL when count is 0. Those that do not fit in the table are left out. */
typedef struct {
    const double *slowdowns;
    size_t count;
} sp_slowdown_ideas;

/* A scale that the toss has nothing to do with, at the ball, with its relative deviation (0.05 and
 * more when the ball's distance is only guessed). */
typedef struct {
    double m_per_px, relative_sd;
} sp_known_scale;

/* Against such a scale. Errors as for sp_toss_fit, and SP_ERROR_ARGUMENT without a scale. */
bool sp_toss_check_scale(const sp_sample *samples, size_t count, const sp_toss_options *options,
                         sp_known_scale scale, double stated_slowdown, sp_slowdown_ideas ideas,
                         sp_slowdown_check *check, sp_error *error);
/* Against the pose. */
void sp_toss_check_gravity(const sp_toss_gravity *gravity, double stated_slowdown,
                           sp_slowdown_ideas ideas, sp_slowdown_check *check);
/* One or two plain sentences with the next step. */
void sp_slowdown_words(const sp_slowdown_check *check, char *text, size_t size);

#endif
