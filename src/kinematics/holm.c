/* Several tests at once. */
#include <math.h>

#include "serveplumb/statistics.h"

/* How many are smaller; of equal ones those that stand before. */
static size_t rank_of(const double *p, size_t count, size_t index) {
    size_t rank = 0;
    for (size_t i = 0; i < count; i++) rank += p[i] < p[index] || (i < index && p[i] <= p[index]);
    return rank;
}

/* The largest (count - rank) p among those up to its own rank: once one fails, all after it do. */
void sp_holm_adjust(const double *p, size_t count, double *adjusted) {
    for (size_t i = 0; i < count; i++) {
        const size_t rank = rank_of(p, count, i);
        adjusted[i] = 0;
        for (size_t k = 0; k < count; k++) {
            const size_t before = rank_of(p, count, k);
            if (before <= rank)
                adjusted[i] = fmax(adjusted[i], fmin(1, (double)(count - before) * p[k]));
        }
    }
}
