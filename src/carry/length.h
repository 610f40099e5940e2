/* A length that cannot change, from the point to its partner, as evidence of where the point is. */
#ifndef SP_CARRY_LENGTH_H
#define SP_CARRY_LENGTH_H

#include "carry/smoother.h"

/* The job has partners. 0: not known. */
double carry_length_px(const sp_carry_job *job);
/* On frame n, where the partner is there; tap_sd is that of the point's taps. */
void carry_length_measure(const sp_carry_job *job, int n, double tap_sd, double length,
                          carry_evidence *e);

#endif
