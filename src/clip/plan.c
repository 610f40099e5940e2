#include "clip/plan.h"

/* Forward, decoding on costs no more later than now: a second of film is far enough. */
enum { AHEAD_MAX = 60 };

/* The first frame that is not there from `position` on, known losses passed over; `*span`: how many
 * are there before it. -1 past the ends. */
static int first_gap(sp_clip *clip, int position, int direction, int *span) {
    sp_cache *cache = sp_clip_cache(clip);
    const int frames = sp_clip_get_facts(clip)->frames;
    *span = 0;
    for (int n = position; n >= 0 && n < frames;) {
        const int there = sp_cache_span(cache, n, direction);
        *span += there;
        n += there * direction;
        if (n < 0 || n >= frames) return -1;
        if (!sp_clip_has_lost(clip, n)) return n;
        n += direction;
    }
    return -1;
}

static int next_forward(sp_clip *clip, int position, int capacity) {
    int span = 0;
    const int gap = first_gap(clip, position, 1, &span);
    const int enough = capacity / 2 < AHEAD_MAX ? capacity / 2 : AHEAD_MAX;
    return span <= enough ? gap : -1;
}

/* A whole group at a time: when it fits beside what is there, or, where it is larger than that,
 * when half of what can be kept has been walked through. */
static int next_backward(sp_clip *clip, int position, int capacity) {
    int span = 0;
    const int gap = first_gap(clip, position, -1, &span);
    if (gap < 0) return -1;
    const int group = gap - sp_clip_refill_begin(clip, gap) + 1;
    const bool fits = span + group <= capacity - capacity / 10;
    return fits || span <= capacity / 2 ? gap : -1;
}

/* At rest after going forward: the group that a step back would need, if there is room beside. */
static int group_behind(sp_clip *clip, int position, int capacity) {
    int ahead = 0, behind = 0, packets = 0;
    first_gap(clip, position, 1, &ahead);
    const int gap = first_gap(clip, position, -1, &behind);
    if (gap < 0 || behind > capacity / 8) return -1;
    const int group = gap - sp_clip_group_begin(clip, gap, &packets) + 1;
    /* What lies behind counts as farther away, and would go again. */
    return ahead + behind + group <= capacity / 2 ? gap : -1;
}

int sp_plan_next(sp_clip *clip, const sp_plan_view *view) {
    const int capacity = sp_cache_capacity(sp_clip_cache(clip));
    int next = view->direction < 0 ? next_backward(clip, view->position, capacity)
                                   : next_forward(clip, view->position, capacity);
    if (next < 0 && view->at_rest && view->direction > 0)
        next = group_behind(clip, view->position, capacity);
    return next == view->fruitless ? -1 : next;
}
