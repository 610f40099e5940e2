#include "carry/join.h"

#include <math.h>

/* How a followed point usually strays: px^2 a frame, by how much of the way that it moves, and px^2
 * for each time its appearance was taken anew (from the demo clips). */
#define STRAY_FRAME 0.02
#define STRAY_OF_WAY 0.06
#define STRAY_RENEWED 2.0
/* All of it grows with how unlike the point has become: 1 at a likeness of 0.986. */
#define STRAY_LIKE 1.3
#define STRAY_UNLIKE 50.0
/* A way that does not reach the other tap counts as if it strayed so many times the usual. */
#define UNPROVEN 12.0
/* Nor can one where there is no other tap; so it strays by more than others. */
#define OPEN_END 3.0
#define STRAYING_LEAST 1.5
#define STRAYING_MOST 40.0
/* The usual weighs like so many ends; what one end tells counts so much for its own gap. */
#define USUAL_WEIGHT 2.0
#define OWN_END 0.5
/* Least noise of one sighting by itself, px. */
#define NOISE_LEAST 0.1

/* Length of the expected way from the first tap to its k-th frame. */
static double way_to(const carry_gap *gap, int from, int to) {
    double length = 0;
    for (int i = from + 1; i <= to; i++) {
        const carry_smoothed *here = gap->expected + (ptrdiff_t)gap->way * i;
        length += sp_point_distance(here->at, here[-gap->way].at);
    }
    return length;
}

static double usual(const carry_sighting *s, int steps, double way) {
    const double turned = STRAY_OF_WAY * way;
    const double unlike = STRAY_LIKE + STRAY_UNLIKE * (1 - s->likeness);
    return (STRAY_FRAME * steps + turned * turned + STRAY_RENEWED * s->renewed) * unlike;
}

/* What one end tells: how much more than usual this way has strayed. */
static double end_of(const carry_gap *gap, const carry_sighting *way, const sp_carry_tap *to) {
    const carry_sighting *end = &way[gap->steps];
    if (!end->seen) return UNPROVEN;
    const double off = sp_point_distance(end->at, to->at);
    const double taps =
        gap->first->sd_px * gap->first->sd_px + gap->second->sd_px * gap->second->sd_px;
    const double found = fmax(0.0, 0.5 * off * off - taps);
    return fmin(found / usual(end, gap->steps, way_to(gap, 0, gap->steps)), STRAYING_MOST);
}

double carry_straying(const carry_gap *gaps, size_t count) {
    double sum = USUAL_WEIGHT, weight = USUAL_WEIGHT;
    for (size_t i = 0; i < count; i++) {
        if (gaps[i].second == NULL || gaps[i].steps < 2) continue;
        sum += end_of(&gaps[i], gaps[i].forward, gaps[i].second) +
               end_of(&gaps[i], gaps[i].backward, gaps[i].first);
        weight += 2;
    }
    return fmax(sum / weight, STRAYING_LEAST);
}

/* How far the two ways part on the frames that both see, over what is usual. */
static double parting(const carry_gap *gap, double straying) {
    double sum = 0;
    int count = 0;
    for (int k = 1; k < gap->steps; k++) {
        const carry_sighting *f = &gap->forward[k], *b = &gap->backward[gap->steps - k];
        if (!f->seen || !b->seen) continue;
        const double d = sp_point_distance(f->at, b->at);
        const double taps =
            gap->first->sd_px * gap->first->sd_px + gap->second->sd_px * gap->second->sd_px;
        sum += fmin(fmax(0.0, 0.5 * d * d - taps) /
                        (usual(f, k, way_to(gap, 0, k)) +
                         usual(b, gap->steps - k, way_to(gap, k, gap->steps))),
                    STRAYING_MOST);
        count++;
    }
    return count > 0 ? sum / count : straying;
}

static double own(const carry_gap *gap, const carry_sighting *way, const sp_carry_tap *to,
                  double straying) {
    const double seen = 0.5 * (end_of(gap, way, to) + parting(gap, straying));
    return fmax(STRAYING_LEAST, (1 - OWN_END) * straying + OWN_END * seen);
}

static void place(const carry_sighting *s, carry_place *p) {
    const double least = NOISE_LEAST * NOISE_LEAST;
    *p = (carry_place){s->seen, s->at, {s->cov[0] + least, s->cov[1], s->cov[2] + least}};
}

/* Variance of the second way's shared error on the gap's k-th frame, 0 the first tap's own. */
static double second_variance(const carry_gap *gap, double back, int k) {
    const double sd = gap->second->sd_px;
    const carry_sighting *s = &gap->backward[gap->steps - k];
    return sd * sd + back * usual(s, gap->steps - k, way_to(gap, k, gap->steps));
}

static void join_open(const carry_gap *gap, double straying, carry_evidence *evidence) {
    const double stray = OPEN_END * straying;
    double before = 0, way = 0;
    for (int k = 1; k <= gap->steps; k++) {
        if (gap->forward[k].seen)
            way += sp_point_distance(gap->forward[k].at, gap->forward[k - 1].at);
        const double now = stray * usual(&gap->forward[k], k, way);
        carry_evidence *e = &evidence[gap->way < 0 ? gap->steps - k : k - 1];
        if (gap->way > 0) {
            place(&gap->forward[k], &e->first);
            e->begins = k == 1;
            e->first_noise = fmax(0.0, now - before);
        } else {
            /* Toward the first tap in time its error grows narrower, down to the tap's own. */
            const double sd = gap->first->sd_px, later = sd * sd + before, here = sd * sd + now;
            place(&gap->forward[k], &e->second);
            e[1].kept = later / fmax(here, later);
            e[1].second_noise = later - later * e[1].kept;
            if (k == gap->steps) e->second_noise = here;
        }
        before = fmax(before, now);
    }
}

void carry_join(const carry_gap *gap, double straying, carry_evidence *evidence) {
    if (gap->second == NULL) {
        join_open(gap, straying, evidence);
        return;
    }
    const double there = own(gap, gap->forward, gap->second, straying);
    const double back = own(gap, gap->backward, gap->first, straying);
    double strayed = 0, second = 0;
    for (int k = 1; k <= gap->steps; k++) {
        carry_evidence *e = &evidence[k - 1];
        const double now = fmax(strayed, there * usual(&gap->forward[k], k, way_to(gap, 0, k)));
        double later = second_variance(gap, back, k);
        e->begins = k == 1;
        e->first_noise = now - strayed;
        if (k == 1) second = later;
        later = fmin(later, second);
        e->kept = k == 1 ? 0 : later / second;
        e->second_noise = k == 1 ? later : later - later * e->kept;
        strayed = now;
        second = later;
        if (k == gap->steps) break;
        place(&gap->forward[k], &e->first);
        place(&gap->backward[gap->steps - k], &e->second);
    }
}
