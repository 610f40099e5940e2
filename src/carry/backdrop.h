/* What stays still in the picture: the median of some frames and, beside it, how much each pixel
 * wavers. Against it, what moves can be told from what lies behind. */
#ifndef SP_CARRY_BACKDROP_H
#define SP_CARRY_BACKDROP_H

#include "carry/reel.h"

typedef struct {
    int width, height;
    uint8_t *median;
    uint8_t *soft; /* the difference at which a pixel counts as half moving */
    double moving; /* share of pixels that differ in a usual frame: large when the camera moves */
} carry_backdrop;

/* From frames spread over first..last. */
bool carry_backdrop_learn(carry_backdrop *backdrop, carry_reel *reel, int first, int last,
                          sp_error *error);
void carry_backdrop_clear(carry_backdrop *backdrop);

#endif
