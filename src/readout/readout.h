/* The finished readout. */
#ifndef SP_READOUT_READOUT_H
#define SP_READOUT_READOUT_H

#include "serveplumb/pose.h"
#include "serveplumb/readout.h"

#define SP_CAUTIONS_MAX 8
#define SP_PAIRS_MAX 16

struct sp_readout {
    sp_measure *measures;
    size_t count;
    sp_scale_reading scale;
    bool by_court;      /* then it is known where the camera stands: */
    sp_world to_camera; /* from the player, court frame */
    sp_scale_finding *findings;
    size_t finding_count;
    sp_scale_pair pairs[SP_PAIRS_MAX];
    size_t pair_count;
    char cautions[SP_CAUTIONS_MAX][960];
    sp_caution_of cautions_of[SP_CAUTIONS_MAX];
    size_t caution_count;
};

void sp_cautions_add(sp_readout *readout, sp_caution_of of, const char *text);
/* Adds that of the drop, where the drop is shown, and that of everything: the texts of the checks
 * file, so that window, still, page, clip and findings say the same. */
bool sp_cautions_fill(sp_readout *readout, const sp_review *review, sp_error *error);

/* Room for every measure of the catalogue; NULL without memory. */
sp_readout *sp_readout_empty(void);

bool sp_measure_has_number(const sp_measure *measure);

#endif
