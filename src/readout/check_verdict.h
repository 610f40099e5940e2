/* One check against the readout and the coach's judgement. */
#ifndef SP_READOUT_CHECK_VERDICT_H
#define SP_READOUT_CHECK_VERDICT_H

#include "readout/checks.h"

/* Of a measure that has a number: met, not met, or within error when the interval straddles a
 * limit. Else why it has none. */
sp_check_status sp_limit_verdict(const sp_measure *measure, const sp_check_limit *limit);

/* Fills status, by_eye, frame and measures of the finding, whose check is set. A number comes
 * before the eye; the eye decides where there is none, or where the number is too close to tell. */
void sp_check_decide(sp_finding *finding, const sp_review *review, const sp_readout *readout);

/* How far a measure lies beyond the limit it does not keep, in half-widths of its interval: the
 * clearest of the finding's; 0 by eye. */
double sp_finding_clearness(const sp_finding *finding);

#endif
