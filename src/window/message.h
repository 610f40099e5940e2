/* One line over the foot of the picture. */
#ifndef SP_WINDOW_MESSAGE_H
#define SP_WINDOW_MESSAGE_H

#include <stdbool.h>
#include <stdint.h>

#include "window/pane.h"

struct window;

typedef struct {
    char text[640];
    bool problem;  /* stays until something else is said or Escape */
    uint64_t ends; /* ms of SDL_GetTicks64 */
    pane pane;
} message;

void message_say(struct window *w, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* In the error's own words. */
void message_problem(struct window *w, const sp_error *error);
void message_dismiss(struct window *w);
/* Takes away what has been shown long enough. Milliseconds until the next look; -1: none. */
int message_update(struct window *w);
bool message_paint(struct window *w, sp_error *error);

#endif
