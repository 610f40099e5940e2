/* One group: mean, deviation, and Student's t. */
#include <assert.h>
#include <math.h>

#include <gsl/gsl_cdf.h>

#include "kinematics/numerics.h"
#include "serveplumb/statistics.h"

/* Two passes: a mean far from 0 takes no digits from the deviation. */
sp_summary sp_summary_of(const double *values, size_t count) {
    sp_summary summary = {count, NAN, NAN, NAN, NAN};
    if (count == 0) return summary;
    double sum = 0, squares = 0, rest = 0;
    summary.least = summary.most = values[0];
    for (size_t i = 0; i < count; i++) {
        sum += values[i];
        summary.least = fmin(summary.least, values[i]);
        summary.most = fmax(summary.most, values[i]);
    }
    summary.mean = sum / (double)count;
    for (size_t i = 0; i < count; i++) {
        const double off = values[i] - summary.mean;
        rest += off;
        squares += off * off;
    }
    summary.mean += rest / (double)count;
    /* Of equal values the deviation is 0 whatever rounding says. */
    if (count > 1)
        summary.sd = summary.least < summary.most ? sqrt(squares / (double)(count - 1)) : 0;
    return summary;
}

sp_interval sp_summary_mean(sp_summary summary) {
    if (summary.count < 2) return (sp_interval){summary.mean, NAN, NAN};
    const double half =
        sp_t_quantile(0.975, (double)summary.count - 1) * summary.sd / sqrt((double)summary.count);
    return (sp_interval){summary.mean, summary.mean - half, summary.mean + half};
}

double sp_t_quantile(double share, double df) {
    assert(share > 0 && share < 1 && df > 0);
    sp_numerics_by_status();
    /* From the nearer tail, so that a small share keeps its digits. */
    if (share < 0.5)
        return isinf(df) ? gsl_cdf_ugaussian_Pinv(share) : gsl_cdf_tdist_Pinv(share, df);
    return isinf(df) ? gsl_cdf_ugaussian_Qinv(1 - share) : gsl_cdf_tdist_Qinv(1 - share, df);
}

double sp_t_two_sided(double t, double df) {
    assert(df > 0);
    sp_numerics_by_status();
    return 2 * (isinf(df) ? gsl_cdf_ugaussian_Q(fabs(t)) : gsl_cdf_tdist_Q(fabs(t), df));
}

double sp_effective_df(const double *variances, const double *dfs, size_t count) {
    double sum = 0, spent = 0;
    for (size_t i = 0; i < count; i++) sum += variances[i];
    if (!(sum > 0)) return INFINITY;
    /* By shares, whose squares cannot overflow. */
    for (size_t i = 0; i < count; i++) {
        const double share = variances[i] / sum;
        spent += share * share / dfs[i];
    }
    return spent > 0 ? 1 / spent : INFINITY;
}
