/* Which tap does not fit the others, and what it is in words. */
#ifndef SP_GEOMETRY_POSE_DOUBT_H
#define SP_GEOMETRY_POSE_DOUBT_H

#include "geometry/pose_fit.h"

/* Everything one question to the landmarks needs. */
typedef struct {
    const sp_landmark_tap *taps;
    size_t count;
    sp_point centre;
    double unit_px;
    sp_lens_belief belief;
} sp_pose_task;

/* Fits with the names as given, but without the tap `left_out` (count: with all), and with the
 * names of the taps one and other exchanged (equal: none), mirrored across the centre line. */
typedef struct {
    size_t left_out, one, other;
    bool mirrored;
} sp_pose_variant;

sp_pose_variant sp_pose_as_named(const sp_pose_task *task);
sp_fit_outcome sp_pose_fit_variant(const sp_pose_task *task, const sp_pose_variant *variant,
                                   sp_pose_fit *fit);
/* Residuals over their expected size; NAN when nothing is left over to tell. */
double sp_pose_fit_misfit(const sp_pose_fit *fit);
/* The camera stands above the court and has every place it was fitted to in front of it. */
bool sp_pose_fit_possible(const sp_pose_task *task, const sp_pose_variant *variant,
                          const sp_pose_fit *fit);

/* Fills expected, left_out_px, suspect and doubt of a pose whose camera, misfit and residuals are
 * filled from `fit`. */
void sp_pose_doubt(const sp_pose_task *task, const sp_pose_fit *fit, sp_pose *pose);

#endif
