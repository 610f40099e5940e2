/* The frames of a span as they are asked for: each luma picture is fetched once and kept while
 * there is room, since the span is walked forward and backward. */
#ifndef SP_CARRY_REEL_H
#define SP_CARRY_REEL_H

#include "serveplumb/carry.h"

typedef struct carry_reel carry_reel;

/* Keeps at most `bytes` of pictures, two at the least. */
carry_reel *carry_reel_new(const sp_carry_clip *clip, size_t bytes, sp_error *error);
void carry_reel_free(carry_reel *reel);

/* Borrowed until another two frames were asked for. */
const uint8_t *carry_reel_luma(carry_reel *reel, int n, sp_error *error);
const sp_carry_clip *carry_reel_clip(const carry_reel *reel);

#endif
