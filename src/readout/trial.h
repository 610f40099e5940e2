/* One trial of the whole readout: every input drawn once, every measure worked out from it. */
#ifndef SP_READOUT_TRIAL_H
#define SP_READOUT_TRIAL_H

#include "readout/map.h"

/* How a slot's point lies off the plane, toward the camera: what of its habit no draw changes. */
typedef struct {
    double at_m, sd_m, on_sd_m, per_s, per_s_sd;
    int on;     /* the point that it moves along with; -1: none */
    bool asked; /* some plan looks at its place off the plane */
} sp_off_plane;

typedef struct {
    const sp_door *door;
    sp_plan *plans;
    size_t plan_count;
    const sp_scales *scales;
    sp_plumb plumb;
    sp_point *seen, *flat, *deep; /* room for the slots, see trial.c */
    sp_off_plane *off;            /* and for these */
} sp_trial;

/* What all draws share; the slots, the plans and the room for them are there. */
void sp_trial_prepare(sp_trial *trial);

/* sp_draw_function: outputs[i] of plan i, then metres per pixel. */
void sp_trial_run(const void *trial, sp_random *random, double *outputs);

#endif
