/* Where the camera stood: its pose, focal length and one lens term, from tapped landmarks of the
 * court, with how well they are known and which tap does not fit the others.
 *
 * Picture: upright pixels (point.h). World: the court frame (landmark.h). The lens's axis is taken
 * to meet the picture's middle, pixels to be square: a cropped, stabilized or zoomed clip breaks
 * this. Pure functions; nothing is owned, nothing is kept. */
#ifndef SERVEPLUMB_POSE_H
#define SERVEPLUMB_POSE_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/interval.h"
#include "serveplumb/landmark.h"
#include "serveplumb/point.h"

/* A pinhole with one radial term:
 *   p = R X + t,  x = (p.x, p.y) / p.z,  picture = centre + focal (1 + k1 |x|^2) x.
 * Camera axes: x right, y down, z forward. First term of Brown's lens model (as in OpenCV). */
typedef struct {
    double rotation[9];    /* R, row by row */
    double translation[3]; /* t, metres */
    double focal_px;
    double radial;   /* k1 */
    sp_point centre; /* where the axis meets the picture */
} sp_camera;

/* Where a place is seen. False when it lies behind the camera, or so far aside that the lens term
 * folds over (1 + 3 k1 |x|^2 <= 0); `at` is then left alone. */
bool sp_camera_project(const sp_camera *camera, sp_world place, sp_point *at);
sp_world sp_camera_position(const sp_camera *camera);

/* --- finding it ------------------------------------------------------------------------------ */

#define SP_POSE_TAPS_MAX 32
/* Order of the parameters: a turn of the camera about its own axes x, y, z (rad), t (m), the
 * natural logarithm of the focal length, k1. */
#define SP_POSE_PARAMETERS 8

/* What k1 may be (standard deviation about 0) when the landmarks do not tell: 1 % at the corner of
 * a phone's main lens. An assumption, no source. */
#define SP_POSE_LENS_SD 0.02
/* Landmarks from which on k1 is had from them, if they then give it better than that. */
#define SP_POSE_LENS_TAPS 7
/* A focal length that the landmarks leave open by more than this (relative, sd) is refused: its
 * errors are no longer small. */
#define SP_POSE_FOCAL_SD_MAX 0.3

typedef struct {
    const sp_landmark *landmark;
    sp_point at;
    double sd_px; /* of one coordinate of the tap; > 0 */
} sp_landmark_tap;

/* Zero is the default: everything to be found. */
typedef struct {
    double focal_px;          /* given, > 0; 0: to be found */
    double focal_relative_sd; /* of the given one; 0: exact */
    bool radial_given;        /* k1 is `radial`, exactly */
    double radial;
} sp_pose_options;

typedef enum {
    SP_LENS_SOLVED,  /* k1 had from the landmarks */
    SP_LENS_ASSUMED, /* k1 near 0 within SP_POSE_LENS_SD, and that is in every interval */
    SP_LENS_GIVEN
} sp_lens_source;

typedef struct {
    const sp_landmark *landmark;
    sp_point residual_px; /* the tap less where the pose puts it */
    /* Where the other landmarks alone put it, and how far the tap lies from there; NAN when they
     * are too few to tell (fewer than 5 others) or do not fix the court. */
    sp_point expected;
    double left_out_px;
} sp_pose_tap;

typedef struct {
    sp_camera camera;
    sp_world position; /* of the camera, metres */
    sp_interval focal_px;
    sp_lens_source lens;
    double radial_sd; /* 0 when given */
    /* Of the parameters; zero rows for what was given exactly. From the taps' and the landmarks'
     * own deviations, (J^T J)^-1; widened by `misfit`^2 where that is larger than chance gives. */
    double covariance[SP_POSE_PARAMETERS * SP_POSE_PARAMETERS];
    /* A lower triangle L with L L^T = covariance, for drawing. */
    double factor[SP_POSE_PARAMETERS * SP_POSE_PARAMETERS];
    size_t count;
    sp_pose_tap taps[SP_POSE_TAPS_MAX]; /* in the order given */
    double rms_px;                      /* of the residuals' lengths */
    int surplus;   /* numbers tapped beyond those needed; under 3 nothing checks the taps */
    double misfit; /* residuals over their expected size; 1 is as expected; NAN when surplus < 1 */
    int suspect;   /* the tap that is most likely wrong, -1: none */
    char doubt[400]; /* what seems wrong, in words with the next step; "" when nothing does */
} sp_pose;

/* The pose from `count` taps, 4 of them on the ground at least.
 *
 * Start: normalized DLT, focal length from the plane's two constraints, weighted (Zhang 2000, IEEE
 * PAMI 22:1330-1334, for a known middle); then Levenberg-Marquardt over pose, focal length and k1.
 *
 * Errors: SP_ERROR_ARGUMENT when the taps cannot give a pose at all (too few, on one line, named
 * twice, camera under the court or a landmark behind it, focal length left open), `pose` then
 * undefined. SP_ERROR_MISMATCH when they contradict one another: `pose` is filled for showing, with
 * `suspect` and `doubt`, but must not be measured with. */
bool sp_pose_solve(const sp_landmark_tap *taps, size_t count, int width, int height,
                   const sp_pose_options *options, sp_pose *pose, sp_error *error);

/* One draw of the camera from its uncertainty; `normals` are SP_POSE_PARAMETERS independent
 * standard normal numbers (all 0: the best camera). */
sp_camera sp_pose_vary(const sp_pose *pose, const double normals[SP_POSE_PARAMETERS]);

#endif
