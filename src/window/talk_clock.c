#include "window/talk_clock.h"

#include <math.h>

void talk_clock_resume(talk_clock *clock) { clock->any[0] = clock->any[1] = false; }

void talk_clock_heard(talk_clock *clock, int64_t count, int rate, double now_s) {
    clock->heard_s = (double)count / rate;
    const double start = now_s - clock->heard_s;
    if (!clock->any[0] || now_s - clock->span_s > TALK_CLOCK_SPAN_S) {
        clock->start_s[1] = clock->start_s[0];
        clock->any[1] = clock->any[0];
        clock->start_s[0] = start;
        clock->any[0] = true;
        clock->span_s = now_s;
    }
    clock->start_s[0] = fmin(clock->start_s[0], start);
}

double talk_clock_at(const talk_clock *clock, double now_s) {
    if (!clock->any[0]) return clock->heard_s;
    double start = clock->start_s[0];
    if (clock->any[1]) start = fmin(start, clock->start_s[1]);
    return fmax(0, now_s - start);
}
