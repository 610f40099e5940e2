#include "carry/join.h"

#include <math.h>

/* How a followed point wanders where nothing is learned yet, px^2 a frame and px^2 for each time
 * its appearance was taken anew; so many frames' worth of learning it weighs. (From the demo
 * clips.) */
#define WANDER 0.02
#define WANDER_RENEWED 0.3
#define WANDER_WEIGHT 3.0
/* Two ways farther apart than this share of the window look at different things. */
#define APART_SHARE 0.6
#define APART_LEAST 4.0

static double usual(const carry_sighting *s, int steps) {
    return WANDER * steps + WANDER_RENEWED * s->renewed;
}

static bool together(const carry_sighting *f, const carry_sighting *b, int radius) {
    return f->seen && b->seen &&
           sp_point_distance(f->at, b->at) < fmax(APART_LEAST, APART_SHARE * radius);
}

/* Variance of one coordinate by which the two wanderings of a gap part, over the taps' own. */
static double learn_parting(const carry_sighting *forward, const carry_sighting *backward,
                            int steps, double taps_var, int radius) {
    double sum = WANDER_WEIGHT * usual(&backward[steps], steps), weight = WANDER_WEIGHT;
    for (int k = 0; k <= steps; k++) {
        const carry_sighting *f = &forward[k], *b = &backward[steps - k];
        if (!together(f, b, radius)) continue;
        const double d = sp_point_distance(f->at, b->at);
        sum += fmax(0.0, 0.5 * d * d - taps_var);
        weight += 1.0;
    }
    return sum / weight;
}

static void both(const carry_sighting *f, const carry_sighting *b, double share, carry_joined *j) {
    const double d = sp_point_distance(f->at, b->at), apart = d * d / 8;
    j->seen = true;
    j->at = sp_point_add(sp_point_times(f->at, 1 - share), sp_point_times(b->at, share));
    for (int i = 0; i < 3; i++)
        j->noise[i] = (1 - share) * (1 - share) * f->cov[i] + share * share * b->cov[i] +
                      (i == 1 ? 0.0 : 0.1 * apart);
}

static void one(const carry_sighting *s, carry_joined *j) {
    j->seen = true;
    j->at = s->at;
    for (int i = 0; i < 3; i++) j->noise[i] = s->cov[i];
}

void carry_join(const carry_sighting *forward, const carry_sighting *backward, int steps,
                double first_sd, double second_sd, int radius, carry_joined *joined) {
    const double taps_var = first_sd * first_sd + second_sd * second_sd;
    const double parting = learn_parting(forward, backward, steps, taps_var, radius);
    for (int k = 1; k < steps; k++) {
        const carry_sighting *f = &forward[k], *b = &backward[steps - k];
        carry_joined *j = &joined[k - 1];
        const double share = (double)k / steps, rest = 1 - share;
        *j = (carry_joined){.alike = rest * rest * first_sd * first_sd +
                                     share * share * second_sd * second_sd};
        if (together(f, b, radius)) {
            both(f, b, share, j);
            j->alike += parting * share * rest;
        } else if (f->seen != b->seen) {
            one(f->seen ? f : b, j);
            j->alike = f->seen ? first_sd * first_sd + parting * share
                               : second_sd * second_sd + parting * rest;
        } else if (f->seen && b->seen && (share < 0.2 || share > 0.8)) {
            /* The way from the near tap is the likelier one. */
            const double d = sp_point_distance(f->at, b->at);
            one(share < 0.5 ? f : b, j);
            j->alike += parting * share * rest + d * d * 0.02;
        }
    }
}

carry_joined carry_join_open(const carry_sighting *way, int k, double sd) {
    carry_joined joined = {.alike = sd * sd + usual(&way[k], k)};
    if (way[k].seen) one(&way[k], &joined);
    return joined;
}
