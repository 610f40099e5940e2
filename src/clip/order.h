/* The order of display. */
#ifndef SP_CLIP_ORDER_H
#define SP_CLIP_ORDER_H

#include <stdbool.h>

#include "clip/index.h"

/* Whether timestamps alone tell the order of these packets of `codec`. */
bool sp_order_is_told(const sp_index *index, const AVCodecParameters *codec);
/* Sets `order` and `time` by timestamps. */
bool sp_order_by_times(sp_index *index);
/* Sets both by decoding all; a packet that no picture comes of is hidden. Missing and doubled
 * timestamps are put in order. Leaves the reader at its end. */
bool sp_order_by_decoding(sp_index *index, sp_reader *reader, sp_error *error);

#endif
