#include "deliver/reel_plan.h"

#include <math.h>
#include <stdlib.h>

/* Rounding of the clip's clock is not to drop a frame of 60 a second. */
#define RATE_SLACK 0.95

static bool is_moment(const sp_review *review, int frame) {
    for (size_t i = 0; i < sp_review_moment_count(review); i++)
        if (sp_review_moment_at(review, i)->frame == frame) return true;
    return false;
}

int sp_shot_pictures(const sp_shot *shot) {
    return (int)fmax(1.0, ceil((shot->to_s - shot->from_s) / SP_REEL_STAND_MAX_S - 1e-6));
}

bool sp_reel_plan_make(const sp_reel_span *span, sp_reel_plan *plan) {
    *plan = (sp_reel_plan){
        .shots = calloc((size_t)span->last - (size_t)span->first + 1, sizeof(sp_shot))};
    if (plan->shots == NULL) return false;
    const double begin = span->times[span->first];
    double held = 0.0;
    for (int frame = span->first; frame <= span->last; frame++) {
        const double from = (span->times[frame] - begin) * span->pace + held;
        const double next = frame + 1 < span->frames ? span->times[frame + 1] : span->end_s;
        const bool moment = is_moment(span->review, frame);
        const double hold = moment ? span->hold_s : 0.0;
        sp_shot *last = plan->count > 0 ? &plan->shots[plan->count - 1] : NULL;
        held += hold;
        const double to = (next - begin) * span->pace + held;
        if (last != NULL && !moment && last->hold_s <= 0.0 &&
            from - last->from_s < RATE_SLACK / SP_REEL_RATE_MAX) {
            last->to_s = to;
            continue;
        }
        plan->shots[plan->count++] = (sp_shot){.frame = frame,
                                               .from_s = from,
                                               .to_s = to,
                                               .hold_s = hold,
                                               .clip_s = span->times[frame]};
    }
    for (int i = 0; i < plan->count; i++) plan->pictures += sp_shot_pictures(&plan->shots[i]);
    plan->duration_s = plan->shots[plan->count - 1].to_s;
    return true;
}
