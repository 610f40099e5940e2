/* When something happened, in the time of the voice. Samples are handed over in blocks and more or
 * less late, never early: the block that was least late tells when the first was heard. Pure. */
#ifndef SP_WINDOW_TALK_CLOCK_H
#define SP_WINDOW_TALK_CLOCK_H

#include <stdbool.h>
#include <stdint.h>

/* The card's clock and the computer's drift apart: only the last seconds count. */
#define TALK_CLOCK_SPAN_S 2.0

typedef struct {
    double start_s[2]; /* when sample 0 was heard, least of this span and of the one before */
    double span_s;     /* when this span began */
    double heard_s;    /* length of what was handed over */
    bool any[2];
} talk_clock;

/* Going on after a pause: what is heard from here on is not late by the pause. */
void talk_clock_resume(talk_clock *clock);
/* By `now_s` of any steady clock, `count` samples in all had been handed over. */
void talk_clock_heard(talk_clock *clock, int64_t count, int rate, double now_s);
/* Seconds of the voice that had passed at `now_s`. */
double talk_clock_at(const talk_clock *clock, double now_s);

#endif
