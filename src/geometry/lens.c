#include "geometry/lens.h"

#include <math.h>

#define STEPS_MAX 60
static const double SETTLED = 1e-15;

bool sp_lens_reaches(double k1, sp_point straight) {
    return 1 + 3 * k1 * sp_point_dot(straight, straight) > 0;
}

sp_point sp_lens_bend(double k1, sp_point straight) {
    return sp_point_times(straight, 1 + k1 * sp_point_dot(straight, straight));
}

/* Newton's steps on the radius, from the bent one: the cubic bends one way there, so they come
 * nearer from one side only. The plain fixed point has the same answer, but crawls near the fold.
 */
bool sp_lens_straighten(double k1, sp_point bent, sp_point *straight) {
    const double target = sp_point_length(bent);
    double r = target;
    for (int step = 0; step < STEPS_MAX; step++) {
        const double slope = 1 + 3 * k1 * r * r;
        if (!(slope > 0)) return false;
        const double change = (r * (1 + k1 * r * r) - target) / slope;
        r -= change;
        if (fabs(change) <= SETTLED * (target + r)) {
            *straight = target > 0 ? sp_point_times(bent, r / target) : bent;
            return 1 + 3 * k1 * r * r > 0;
        }
    }
    return false;
}
