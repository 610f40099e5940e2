/* One trial of the whole readout: every input drawn once, every measure worked out from it. */
#ifndef SP_READOUT_TRIAL_H
#define SP_READOUT_TRIAL_H

#include "readout/map.h"

typedef struct {
    const sp_door *door;
    const sp_plan *plans;
    size_t plan_count;
    const sp_scales *scales;
    sp_plumb plumb;
    sp_point *seen, *flat, *deep; /* room for the slots, see trial.c */
} sp_trial;

/* sp_draw_function: outputs[i] of plan i, then metres per pixel. */
void sp_trial_run(const void *trial, sp_random *random, double *outputs);

#endif
