#include "clip/sound_clock.h"

#include <math.h>

/* Common practice, no source: pictures and sound 20 ms apart pass unnoticed, and containers do not
 * round more coarsely than that. */
static const double jump_s = 0.020;
/* A drift may grow to this before samples are moved: less than a frame at 240 frames/s. */
static const double drift_max_s = 0.003;
/* Share of one frame in the average drift: a trembling stamp moves nothing. */
static const double weight = 1.0 / 16;
/* A step back by more is a recording joined to another, as for pictures. */
static const double joined_s = 1;

static sp_sound_place begin(sp_sound_clock *clock, double time_s) {
    clock->running = true;
    clock->expected_s = time_s;
    clock->drift_s = 0;
    return (sp_sound_place){time_s, true};
}

static sp_sound_place place(sp_sound_clock *clock, double stamp_s) {
    if (!clock->running) return begin(clock, isnan(stamp_s) ? 0 : stamp_s);
    double off = stamp_s + clock->shift_s - clock->expected_s;
    if (isnan(off)) return (sp_sound_place){clock->expected_s, false};
    if (off < -joined_s && fabs(off + clock->leap_s) > jump_s) {
        clock->shift_s -= off;
        off = 0;
    }
    if (fabs(off) > jump_s) {
        clock->gaps++;
        clock->leap_s = off;
        return begin(clock, clock->expected_s + off);
    }
    clock->drift_s += (off - clock->drift_s) * weight;
    if (fabs(clock->drift_s) <= drift_max_s) return (sp_sound_place){clock->expected_s, false};
    clock->corrections++;
    return begin(clock, clock->expected_s + clock->drift_s);
}

sp_sound_place sp_clock_place(sp_sound_clock *clock, double stamp_s, double length_s) {
    const sp_sound_place found = place(clock, stamp_s);
    clock->expected_s += length_s;
    return found;
}
