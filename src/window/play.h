/* Playing: frames at their true times, at a part of real speed, over the clip or over a span. */
#ifndef SP_WINDOW_PLAY_H
#define SP_WINDOW_PLAY_H

#include <stdbool.h>
#include <stdint.h>

struct window;

typedef struct {
    bool on;
    int speed;       /* index, 0: real time */
    uint64_t since;  /* ms of SDL_GetTicks64 */
    double from_s;   /* real time at `since` */
    bool loop;       /* from the end of the span back to its start */
    int first, last; /* the span; last -1: to the end of the clip */
} play;

#define PLAY_SPEEDS 5
double play_factor(int speed);          /* of real time */
const char *play_speed_text(int speed); /* "1/4 of real time" */

void play_start(struct window *w);
void play_stop(struct window *w);
/* Asks for the frame that is due. Milliseconds until the next one; -1 when not playing. */
int play_update(struct window *w);
int play_last(const struct window *w);

#endif
