/* The camera that sees known places where they are seen: start and least squares, without judging
 * whether the answer makes sense. */
#ifndef SP_GEOMETRY_POSE_FIT_H
#define SP_GEOMETRY_POSE_FIT_H

#include "serveplumb/pose.h"

/* A known place, its own deviations, and where it is seen. */
typedef struct {
    sp_world at, sd;
    sp_point seen;
    double sd_px;
} sp_sight;

/* What is known of the lens before looking. A deviation of 0 is exact, INFINITY nothing. */
typedef struct {
    double focal_px, focal_sd; /* relative */
    double radial, radial_sd;
} sp_lens_belief;

typedef struct {
    sp_camera camera;
    double covariance[SP_POSE_PARAMETERS * SP_POSE_PARAMETERS];
    double sum;  /* of squared residuals, each over its standard deviation */
    int surplus; /* residuals less the parameters of which nothing was known */
} sp_pose_fit;

#define SP_POSE_STARTS_MAX 8

/* Cameras to start from, the likeliest first; returns how many. 0 when the places on the ground do
 * not fix a homography. `unit_px` is a size of the picture. */
size_t sp_pose_starts(const sp_sight *sights, size_t count, sp_point centre, double unit_px,
                      const sp_lens_belief *belief, sp_camera starts[SP_POSE_STARTS_MAX]);

typedef enum { SP_FIT_DONE, SP_FIT_NO_COURT, SP_FIT_OPEN } sp_fit_outcome;

/* SP_FIT_NO_COURT: the places on the ground do not fix the court. SP_FIT_OPEN: no search settled
 * with every parameter determined; the fit is then the best start, without covariance. */
sp_fit_outcome sp_pose_fit_sights(const sp_sight *sights, size_t count, sp_point centre,
                                  double unit_px, const sp_lens_belief *belief, sp_pose_fit *fit);

#endif
