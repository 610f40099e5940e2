/* Two groups of unlike deviations: Welch's test. */
#include <math.h>

#include "serveplumb/statistics.h"

bool sp_welch_test(sp_summary first, sp_summary second, sp_welch *welch) {
    if (first.count < 2 || second.count < 2) return false;
    const double variances[] = {first.sd * first.sd / (double)first.count,
                                second.sd * second.sd / (double)second.count};
    const double dfs[] = {(double)first.count - 1, (double)second.count - 1};
    const double error = sqrt(variances[0] + variances[1]);
    if (!(error > 0)) return false;
    const double difference = second.mean - first.mean;
    welch->t = difference / error;
    welch->df = sp_effective_df(variances, dfs, 2);
    welch->p = sp_t_two_sided(welch->t, welch->df);
    const double half = sp_t_quantile(0.975, welch->df) * error;
    welch->difference = (sp_interval){difference, difference - half, difference + half};
    return true;
}
