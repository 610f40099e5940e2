/* The checks of the review, as the sheet shows them, and what the coach makes of them. */
#ifndef SP_WINDOW_FINDINGS_H
#define SP_WINDOW_FINDINGS_H

#include "serveplumb/check.h"
#include "serveplumb/last_time.h"

struct window;

typedef struct {
    sp_checks *checks; /* NULL: none could be had */
    sp_findings *now;
    sp_last_time last;           /* what was asked before this review */
    char last_of[4096 + 64];     /* of which review it was looked for */
    char open[SP_REVIEW_ID_MAX]; /* id of the check that is unfolded; "": none */
} findings;

/* The built-in checks and the coach's own; a fault of the latter is said. */
void findings_load(struct window *w);
void findings_free(struct window *w);
/* After the readout or the units changed. */
void findings_refresh(struct window *w);

#endif
