/* The student's history: the other reviews of the folder, read in a thread of its own once the
 * coach asks for them. What is there soon is shown soon, and fills up while the rest is read. */
#ifndef SP_WINDOW_PAST_H
#define SP_WINDOW_PAST_H

#include "deliver/history_views.h"

struct window;
struct past_reading;

typedef struct {
    struct past_reading *reading; /* NULL: nothing is being read */
    sp_history *history;          /* NULL: not asked for, or not yet */
    sp_history_views views;
    char folder[4096]; /* of what was read */
    size_t waiting;    /* reviews of it that are not read out yet */
    int told;          /* how much of it was said to be done, permille */
    double first_s;    /* what is there after so long is shown; 0: the usual */
} past;

/* Takes over what was read; called when an event woke the window. */
void past_update(struct window *w);
/* Forgets what was read. */
void past_end(struct window *w);

#endif
