/* Carrying the chosen point between its two nearest taps: in a thread of its own with a clip of its
 * own, while the coach goes on. */
#ifndef SP_WINDOW_CARRYING_H
#define SP_WINDOW_CARRYING_H

#include <stdbool.h>

#include "serveplumb/body.h"

struct window;
struct carry_run;

typedef struct {
    struct carry_run *run; /* NULL: nothing is carried now */
    int told;              /* tenths of the work that were said */
} carrying;

/* Takes over what is done, or says how far it is; called when an event woke the window. */
void carrying_update(struct window *w);
/* Gives up; another clip is opened or the window closes. True when something was under way. */
bool carrying_stop(struct window *w);
/* The point was tapped on a frame where it had been carried: its neighbours are carried anew. */
void carrying_renew(struct window *w, int frame, sp_point_name point);

#endif
