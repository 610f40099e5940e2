/* Round lengths for the scale bar. */
#ifndef SP_DRAW_SCALE_BAR_H
#define SP_DRAW_SCALE_BAR_H

#include "serveplumb/readout.h"

typedef struct {
    double metres;
    const char *name;
} sp_bar_length;

/* The longest round length that is at most `longest_m`; NULL when all are longer. */
const sp_bar_length *sp_bar_length_for(double longest_m, sp_units units);

#endif
