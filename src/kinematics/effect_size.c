/* How large a difference is against the scatter, and how well that is known. */
#include <assert.h>
#include <math.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sf_gamma.h>

#include "kinematics/numerics.h"
#include "serveplumb/statistics.h"

/* T = (Z + delta) / S with S the root of a chi square over its df: the mean over S of
 * P(Z <= t S - delta), by Simpson's rule up to where S ends. */
double sp_noncentral_t(double t, double df, double noncentrality) {
    assert(df >= 1);
    sp_numerics_by_status();
    const double end = sqrt(gsl_cdf_chisq_Qinv(1e-17, df) / df);
    /* Steps well below the width 1 / |t| over which the normal share turns. */
    const int steps = 2 * (500 + (int)fmin(20 * fabs(t), 100000));
    const double step = end / steps;
    const double scale = log(2) + df / 2 * log(df / 2) - gsl_sf_lngamma(df / 2);
    double sum = 0;
    for (int i = 0; i <= steps; i++) {
        const double s = i * step;
        const double weight = i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2;
        const double power = df > 1 ? (df - 1) * log(s) : 0; /* s = 0: minus infinity, density 0 */
        sum += weight * exp(scale + power - df * s * s / 2) *
               gsl_cdf_ugaussian_P(t * s - noncentrality);
    }
    return sum * step / 3;
}

/* The share falls as the noncentrality grows. */
static double noncentrality_of(double t, double df, double share) {
    double low = t - 6 - 8 * fabs(t), high = t + 6 + 8 * fabs(t);
    for (int i = 0; i < 60 && high - low > 1e-10 * (1 + fabs(t)); i++) {
        const double middle = (low + high) / 2;
        *(sp_noncentral_t(t, df, middle) > share ? &low : &high) = middle;
    }
    return (low + high) / 2;
}

sp_interval sp_hedges_g(sp_summary first, sp_summary second) {
    if (first.count < 2 || second.count < 2) return (sp_interval){NAN, NAN, NAN};
    const double n1 = (double)first.count, n2 = (double)second.count, df = n1 + n2 - 2;
    const double pooled =
        sqrt(((n1 - 1) * first.sd * first.sd + (n2 - 1) * second.sd * second.sd) / df);
    if (!(pooled > 0)) return (sp_interval){NAN, NAN, NAN};
    const double bias = exp(gsl_sf_lngamma(df / 2) - gsl_sf_lngamma((df - 1) / 2)) / sqrt(df / 2);
    const double d = (second.mean - first.mean) / pooled, root = sqrt(n1 * n2 / (n1 + n2));
    return (sp_interval){bias * d, bias * noncentrality_of(d * root, df, 0.975) / root,
                         bias * noncentrality_of(d * root, df, 0.025) / root};
}
