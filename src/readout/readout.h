/* The finished readout. */
#ifndef SP_READOUT_READOUT_H
#define SP_READOUT_READOUT_H

#include "serveplumb/readout.h"

#define SP_CAUTIONS_MAX 4

struct sp_readout {
    sp_measure *measures;
    size_t count;
    sp_scale_reading scale;
    sp_interval gravity; /* m/s^2 at which the toss falls by this scale; NAN: not seen */
    double slowdown;
    char cautions[SP_CAUTIONS_MAX][320];
    sp_caution_of cautions_of[SP_CAUTIONS_MAX];
    size_t caution_count;
};

/* Fills the cautions from the measures. */
void sp_cautions_fill(sp_readout *readout, sp_shoulder shoulder);

bool sp_measure_has_number(const sp_measure *measure);

#endif
