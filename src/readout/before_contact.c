/* Which tap the speed at contact asks for. */
#include "serveplumb/readout.h"

/* From this much time between the last two taps on, what was carried there told the speed by up to
 * 13 % wrong (simulated serves, six evenly spaced taps from drop to contact); a tap in the middle
 * left 4 %. */
#define GAP_S 0.016

static bool is_tapped(const sp_review *review, int frame, sp_point_name tip, sp_mark_by by) {
    sp_mark mark;
    return frame >= 0 && sp_review_mark(review, frame, tip, &mark) && mark.by == by;
}

static int tap_up_to(const sp_review *review, int frame, sp_point_name tip) {
    while (frame >= 0 && !is_tapped(review, frame, tip, SP_BY_TAP)) frame--;
    return frame;
}

int sp_tap_before_contact(const sp_review *review, sp_frame_times times, double *gap_s) {
    const sp_hand hand = sp_review_get_player(review)->hand;
    const sp_point_name tip = sp_point_for_hand(SP_POINT_RACQUET_TIP, hand);
    const int contact = sp_review_moment_frame(review, "contact");
    if (contact < 0 || contact >= times.count) return -1;
    const int last = tap_up_to(review, contact, tip);
    const int before = last > 0 ? tap_up_to(review, last - 1, tip) : -1;
    if (before < 0 || last - before < 2) return -1;
    const double gap =
        (times.seconds[last] - times.seconds[before]) / sp_review_get_clip(review)->slowdown;
    const int frame = before + (last - before + 1) / 2;
    if (gap <= GAP_S || !is_tapped(review, frame, tip, SP_BY_CARRY)) return -1;
    if (gap_s != NULL) *gap_s = gap;
    return frame;
}
