/* Numbers of the readout as a student reads them: the sign in words. */
#ifndef SP_DRAW_WORDS_H
#define SP_DRAW_WORDS_H

#include <stddef.h>

#include "serveplumb/readout.h"

/* The value, without its sign where words can say the sign. */
void sp_words_number(const sp_measure *measure, sp_units units, char *text, size_t size);
/* "toward the net"; empty when the measure has no sign, or its interval does not decide it. */
void sp_words_sign(const sp_measure *measure, sp_view view, char *text, size_t size);
/* "(2.1 to 4.7)": the interval of the value without its sign; empty when there is none. */
void sp_words_interval(const sp_measure *measure, sp_units units, char *text, size_t size);

#endif
