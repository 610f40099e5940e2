/* The one way out for how to work on something: its caution is in the same text. */
#ifndef SP_READOUT_CHECK_ADVICE_H
#define SP_READOUT_CHECK_ADVICE_H

#include "base/text.h"
#include "readout/checks.h"

/* The advice on the drop is not given to this player. */
bool sp_advice_is_held_back(const sp_finding *finding, sp_shoulder shoulder);

/* Whatever the entry of the shoulder is, the words for all but a healthy one are the same: nobody
 * can read it off them. */
void sp_put_drop_caution(sp_text *text, sp_shoulder shoulder, const sp_check_cautions *cautions);

/* Why it matters and how to work on it, or the coach's `own` words (NULL: none) instead, and the
 * caution; of what needs no work the caution alone, where it has one. */
void sp_finding_put_advice(sp_text *text, const sp_finding *finding, const char *own,
                           sp_shoulder shoulder, const sp_check_cautions *cautions);

#endif
