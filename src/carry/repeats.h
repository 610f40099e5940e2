/* Frames that show the one before once more, as converters and phones write them to keep a steady
 * rate: nothing has moved, whatever their time says, and the next frame makes up for it. */
#ifndef SP_CARRY_REPEATS_H
#define SP_CARRY_REPEATS_H

#include "carry/reel.h"

/* Of frames first..last: again[n - first] where frame n repeats the one before it, and seconds[n -
 * first], when what it shows was there. */
bool carry_repeats_find(carry_reel *reel, int first, int last, bool *again, double *seconds,
                        sp_error *error);

#endif
