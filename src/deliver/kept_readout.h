/* Readouts that were kept, and keeping them. Any thread. */
#ifndef SP_DELIVER_KEPT_READOUT_H
#define SP_DELIVER_KEPT_READOUT_H

#include "base/text.h"
#include "serveplumb/readout.h"
#include "serveplumb/review_clip.h"

/* Of a review file that holds these bytes, with its clip as it is. False: it cannot be kept. */
bool sp_kept_readout_key(sp_text *key, const char *review_bytes, size_t length,
                         const sp_clip_stamp *clip);
/* NULL when none was kept. */
sp_readout *sp_kept_readout_take(const sp_text *key);
void sp_kept_readout_put(const sp_text *key, const sp_readout *readout);

#endif
