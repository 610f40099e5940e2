/* Where decoded sound lies on the clock of the frames: told by its timestamps, but in whole runs of
 * samples, since timestamps are rounded and tremble. */
#ifndef SP_CLIP_SOUND_CLOCK_H
#define SP_CLIP_SOUND_CLOCK_H

#include <stdbool.h>

typedef struct {
    bool running;
    double expected_s; /* when the next frame begins if nothing is missing */
    double drift_s;    /* how much later timestamps say on average */
    double leap_s;     /* the last jump: a single wrong timestamp is followed by one back */
    double shift_s;    /* added to timestamps, after recordings joined end to end */
    int gaps, corrections;
} sp_sound_clock;

typedef struct {
    double time_s;
    bool anew; /* a run begins here: it does not follow on the frame before */
} sp_sound_place;

/* Of the next frame, which lasts `length_s`; `stamp_s` NAN when it has no timestamp. */
sp_sound_place sp_clock_place(sp_sound_clock *clock, double stamp_s, double length_s);

#endif
