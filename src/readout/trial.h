/* One trial of the whole readout: every input drawn once, every measure worked out from it. */
#ifndef SP_READOUT_TRIAL_H
#define SP_READOUT_TRIAL_H

#include "readout/fall.h"
#include "readout/habits.h"
#include "readout/map.h"
#include "readout/shutter.h"

/* How a slot's point lies off the plane, toward the camera (habits.h): what no draw changes of it.
 */
typedef struct {
    double at_m, sd_m, share, on_sd_m, per_s, per_s_sd, swings;
    sp_point_name on;
    bool steady;
    bool asked; /* some plan looks at its place off the plane */
} sp_off_plane;

typedef struct {
    const sp_door *door;
    sp_plan *plans;
    size_t plan_count;
    const sp_scales *scales;
    sp_plumb plumb;
    sp_point *seen, *flat, *deep; /* room for the slots, see trial.c */
    sp_off_plane *off;            /* and for these; sp_trial_begin fills them */
    sp_off_plane ball;            /* as it is met */
    sp_point *way;                /* of each slot over the picture, px/s; sp_trial_begin fills it */
    sp_shutter shutter;           /* and these */
    sp_fall fall;
} sp_trial;

/* Once all plans are made and the room is there. */
void sp_trial_begin(sp_trial *trial);
/* sp_draw_function: outputs[i] of plan i, then metres per pixel. */
void sp_trial_run(const void *trial, sp_random *random, double *outputs);

#endif
