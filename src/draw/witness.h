/* Every text as it is drawn, for those who ask what a person can read: whether texts overlap, are
 * cut, or stand off from their ground. */
#ifndef SP_DRAW_WITNESS_H
#define SP_DRAW_WITNESS_H

#include <stdbool.h>

#include "serveplumb/paint.h"

typedef struct {
    const char *text;
    sp_rect ink;  /* what is drawn of it, painter units */
    sp_rect seen; /* what the painter shows of anything now */
    sp_color color;
    double size; /* em */
    bool cut;    /* an ellipsis stands for its end */
} sp_witness_text;

/* Of all painters; NULL: nobody asks. */
void sp_witness(void (*see)(const sp_witness_text *text, void *context), void *context);

/* Of the painter. */
bool sp_witness_asks(void);
void sp_witness_tell(const sp_witness_text *text);

#endif
