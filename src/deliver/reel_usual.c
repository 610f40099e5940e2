#include "serveplumb/reel.h"
#include "serveplumb/review_clip.h"

#define ROUND_THE_MOMENTS_S 0.3 /* real time shown before the first and after the last */

static int frame_near(sp_frame_times times, double seconds) {
    int frame = 0;
    while (frame + 1 < times.count && times.seconds[frame + 1] <= seconds) frame++;
    return frame;
}

void sp_reel_usual(const sp_clip *clip, const sp_review *review, sp_reel_options *options) {
    const sp_frame_times times = sp_clip_frame_times(clip);
    const size_t moments = sp_review_moment_count(review);
    options->slow = SP_REEL_SLOW;
    options->hold_s = SP_REEL_HOLD_S;
    options->first = 0;
    options->last = times.count - 1;
    if (moments == 0) return;
    const double room = ROUND_THE_MOMENTS_S * sp_review_get_clip(review)->slowdown;
    const int first = sp_review_moment_at(review, 0)->frame;
    const int last = sp_review_moment_at(review, moments - 1)->frame;
    options->first = frame_near(times, times.seconds[first] - room);
    options->last = frame_near(times, times.seconds[last] + room);
}
