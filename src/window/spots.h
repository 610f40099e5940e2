/* The places of a painted part that can be pressed. Each is recorded while it is painted, so that
 * what is seen, pressed and walked through by keys is one list. */
#ifndef SP_WINDOW_SPOTS_H
#define SP_WINDOW_SPOTS_H

#include <stdbool.h>

#include "serveplumb/paint.h"

struct window;
typedef void action(struct window *w, int argument);

typedef struct {
    sp_rect rect; /* units, from the pane's corner */
    action *act;
    int argument;
} spot;

#define SPOTS_MOST 400
typedef struct {
    spot at[SPOTS_MOST];
    int count;
} spots;

void spots_add(spots *s, sp_rect rect, action *act, int argument);
/* The last one painted at a place; of several with its action that overlap there, such as the
 * landmarks of a court, the nearest. NULL when there is none. */
const spot *spots_hit(const spots *s, double x, double y);
int spots_find(const spots *s, action *act, int argument); /* -1: none */

#endif
