#include "draw/strip_layout.h"

#include <math.h>

double sp_strip_round_step(double at_least) {
    const double power = pow(10.0, floor(log10(at_least)));
    const double ratio = at_least / power;
    /* a hair of slack: 0.5 asked for is 0.5 given */
    const double digit = ratio <= 1.0 + 1e-9   ? 1.0
                         : ratio <= 2.0 + 1e-9 ? 2.0
                         : ratio <= 5.0 + 1e-9 ? 5.0
                                               : 10.0;
    return digit * power;
}

#define SPREAD_MAX 64

/* With the widths before each label taken off, "apart" becomes "not decreasing": the classic
 * pooling of neighbours that are out of order gives the least-squares answer. */
bool sp_strip_spread(double *centers, const double *widths, int count, double gap, double low,
                     double high) {
    if (count < 1) return true;
    if (count > SPREAD_MAX) return false;
    double offset[SPREAD_MAX], mean[SPREAD_MAX];
    int size[SPREAD_MAX];
    int pools = 0;
    double before = 0.0;
    for (int i = 0; i < count; i++) {
        offset[i] = before + widths[i] / 2.0;
        before += widths[i] + gap;
        mean[pools] = centers[i] - offset[i];
        size[pools++] = 1;
        while (pools > 1 && mean[pools - 2] > mean[pools - 1]) {
            const int a = size[pools - 2], b = size[pools - 1];
            mean[pools - 2] = (mean[pools - 2] * a + mean[pools - 1] * b) / (a + b);
            size[--pools - 1] = a + b;
        }
    }
    const double last = high - (before - gap); /* the largest start of the whole row */
    if (last < low) return false;
    int label = 0;
    for (int pool = 0; pool < pools; pool++)
        for (int i = 0; i < size[pool]; i++, label++)
            centers[label] = fmax(low, fmin(last, mean[pool])) + offset[label];
    return true;
}
