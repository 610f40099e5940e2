/* Findings in plain words. */
#ifndef SP_READOUT_CHECK_WORDS_H
#define SP_READOUT_CHECK_WORDS_H

#include "base/text.h"
#include "readout/checks.h"

/* What was found against what is looked for, or why nothing was. */
void sp_finding_put_says(sp_text *text, const sp_finding *finding, const sp_review *review,
                         sp_units units);
/* Published values, with whom they were found among. */
void sp_finding_put_published(sp_text *text, const sp_check *check, sp_units units);

#endif
