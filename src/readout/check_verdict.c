#include "readout/check_verdict.h"

#include <math.h>

#include "readout/readout.h"

static sp_check_status reason_of(sp_status status) {
    switch (status) {
    case SP_STATUS_NOT_FROM_THIS_VIEW: return SP_CHECK_NOT_FROM_THIS_VIEW;
    case SP_STATUS_TOO_COARSE: return SP_CHECK_TOO_COARSE;
    case SP_STATUS_NEEDS_POINTS:
    case SP_STATUS_NEEDS_SCALE:
    case SP_STATUS_NEEDS_MOMENT:
    case SP_STATUS_OK:
    case SP_STATUS_PROJECTED: break;
    }
    return SP_CHECK_POINTS_MISSING;
}

sp_check_status sp_limit_verdict(const sp_measure *measure, const sp_check_limit *limit) {
    if (!sp_measure_has_number(measure)) return reason_of(measure->status);
    const sp_interval v = measure->value;
    const bool above_low = !limit->has_low || v.low >= limit->low;
    const bool below_high = !limit->has_high || v.high <= limit->high;
    if (above_low && below_high) return SP_CHECK_MET;
    if ((limit->has_low && v.high < limit->low) || (limit->has_high && v.low > limit->high))
        return SP_CHECK_NOT_MET;
    return SP_CHECK_WITHIN_ERROR;
}

static const sp_measure *measure_of(const sp_readout *readout, const sp_check_limit *limit) {
    return sp_readout_find(readout, limit->kind->id, limit->kind->moment);
}

static sp_finding_measure try_test(const sp_check_test *test, const sp_readout *readout) {
    const sp_check_limit *limit = &test->limit;
    const sp_measure *measure = measure_of(readout, limit);
    if (!sp_measure_has_number(measure) && test->instead.kind != NULL) {
        const sp_measure *other = measure_of(readout, &test->instead);
        if (sp_measure_has_number(other)) {
            limit = &test->instead;
            measure = other;
        }
    }
    return (sp_finding_measure){.measure = *measure,
                                .has_low = limit->has_low,
                                .has_high = limit->has_high,
                                .low = limit->low,
                                .high = limit->high,
                                .status = sp_limit_verdict(measure, limit)};
}

/* What of two tests is told: a limit that is not kept, then a number that is not there, then one
 * that is too close. */
static sp_check_status graver(sp_check_status one, sp_check_status other) {
    static const int grave[] = {
        [SP_CHECK_MET] = 0,         [SP_CHECK_WITHIN_ERROR] = 1,
        [SP_CHECK_FOR_THE_EYE] = 2, [SP_CHECK_POINTS_MISSING] = 3,
        [SP_CHECK_TOO_COARSE] = 4,  [SP_CHECK_NOT_FROM_THIS_VIEW] = 5,
        [SP_CHECK_NOT_MET] = 6,
    };
    return grave[other] > grave[one] ? other : one;
}

/* A measure without limits is shown when there is a number, and is not missed when there is none.
 */
static void measure_all(sp_finding *finding, const sp_readout *readout) {
    const sp_check *check = finding->check;
    finding->status = check->test_count == 0 ? SP_CHECK_FOR_THE_EYE : SP_CHECK_MET;
    for (int i = 0; i < check->test_count; i++) {
        const sp_finding_measure tried = try_test(&check->tests[i], readout);
        const bool limited = tried.has_low || tried.has_high;
        if (!limited && !sp_measure_has_number(&tried.measure)) continue;
        if (limited) finding->status = graver(finding->status, tried.status);
        if (finding->frame < 0) finding->frame = tried.measure.frame;
        finding->measures[finding->measure_count++] = tried;
    }
}

static void judge(sp_finding *finding, const sp_judgement *judgement) {
    if (judgement == NULL || finding->status == SP_CHECK_MET || finding->status == SP_CHECK_NOT_MET)
        return;
    if (judgement->frame >= 0) finding->frame = judgement->frame;
    if (judgement->verdict == SP_VERDICT_UNSURE) return;
    finding->status = judgement->verdict == SP_VERDICT_MET ? SP_CHECK_MET : SP_CHECK_NOT_MET;
    finding->by_eye = true;
}

void sp_check_decide(sp_finding *finding, const sp_review *review, const sp_readout *readout) {
    finding->frame = -1;
    finding->measure_count = 0;
    if ((finding->check->views & SP_VIEW_BIT(sp_review_get_view(review))) == 0) {
        finding->status = SP_CHECK_NOT_FROM_THIS_VIEW;
        return;
    }
    measure_all(finding, readout);
    judge(finding, sp_review_judgement_find(review, finding->check->id));
    if (finding->frame < 0) finding->frame = sp_review_moment_frame(review, finding->check->moment);
}

double sp_finding_clearness(const sp_finding *finding) {
    double clearest = 0;
    for (int i = 0; i < finding->measure_count; i++) {
        const sp_finding_measure *m = &finding->measures[i];
        if (m->status != SP_CHECK_NOT_MET) continue;
        const sp_interval v = m->measure.value;
        const double beyond = m->has_low && v.value < m->low ? m->low - v.value : v.value - m->high;
        clearest = fmax(clearest, beyond / fmax((v.high - v.low) / 2, 1e-9));
    }
    return clearest;
}
