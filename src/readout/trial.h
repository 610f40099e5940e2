/* One trial of the whole readout: every input drawn once, every measure worked out from it. */
#ifndef SP_READOUT_TRIAL_H
#define SP_READOUT_TRIAL_H

#include "readout/door.h"
#include "serveplumb/draws.h"
#include "serveplumb/scale.h"

typedef struct {
    sp_point a, b; /* mirrored at the door */
    double sd_px, distance_m, distance_sd_m;
    double depth_sd; /* relative */
} sp_line;

/* The line of a scale entry; false when it is no line or its taps coincide. */
bool sp_line_of(const sp_door *door, const sp_scale_entry *entry, sp_line *line, sp_scale *scale);

typedef struct {
    const sp_door *door;
    const sp_plan *plans;
    size_t plan_count;
    sp_line line; /* where door->scaled */
    sp_plumb plumb;
    sp_point *flat, *deep; /* room for the slots' plane coordinates, see trial.c */
} sp_trial;

/* Of the review, mirrored at the door. */
sp_plumb sp_trial_plumb(const sp_door *door);

/* sp_draw_function: outputs[i] of plan i, then metres per pixel. */
void sp_trial_run(const void *trial, sp_random *random, double *outputs);

#endif
