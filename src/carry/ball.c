#include "carry/ball.h"

#include <math.h>
#include <stdlib.h>

/* Radii that are tried for the ball at its taps, px, and how far a tap may be off its middle. */
#define RADIUS_LEAST 2
#define RADIUS_MOST 14
#define TAP_OFF 3
/* Against the contrast at the taps, from which a spot is the ball; a second one as good as this
 * part of it, and elsewhere, makes both doubtful. */
#define CONTRAST_LEAST 0.4
#define SECOND_MOST 0.75
/* Looked for within so many deviations of the expected place, where that is sure enough: px per
 * radius of the ball. */
#define GATE 3.5
#define GATE_MOST 7.0
#define ROUNDS_MAX 60
/* A spot's middle is known to this, px, and along a smear to this part of the step. */
#define SPOT_SD 0.35
#define SMEAR_SHARE 0.04
/* The middle of what is seen of it lies beside the ball's, always alike, by this part of its
 * radius: light comes from one side. */
#define LIT_SHARE 0.17
/* And by so much in a second as it turns, and as the hand that tossed it and what lies behind it
 * change. */
#define LIT_TURNS 0.3
/* The air wanders little: 10^power px^2/s^5 in pictures of 1,000 pixels (own choice: drag turning
 * with the speed of a toss or serve). */
#define AIR_POWER 6.0

typedef struct {
    carry_walk *walk;
    const carry_backdrop *backdrop;
    const sp_carry_clip *clip;
    int first, count;
    int radius;
    double contrast; /* at the taps */
} look_out;

typedef struct {
    const uint8_t *now, *before, *after;
    int width, height;
} three;

/* By how much a pixel differs from both neighbours, on one side; what stands still or only leaves
 * or comes is 0. */
static int differs(const three *t, int x, int y) {
    if (x < 0 || y < 0 || x >= t->width || y >= t->height) return 0;
    const size_t at = (size_t)y * (size_t)t->width + (size_t)x;
    const int a = t->now[at] - t->before[at], b = t->now[at] - t->after[at];
    if ((a > 0) != (b > 0)) return 0;
    return abs(a) < abs(b) ? a : b;
}

/* Mean difference in a disc less that in the ring about it: a spot of its size, and nothing else.
 */
static double spot(const three *t, int x, int y, int radius) {
    const int wide = radius + 2 + radius / 2;
    long in = 0, out = 0;
    int in_count = 0, out_count = 0;
    for (int j = -wide; j <= wide; j++)
        for (int i = -wide; i <= wide; i++) {
            const int far = i * i + j * j;
            if (far <= radius * radius) {
                in += differs(t, x + i, y + j);
                in_count++;
            } else if (far > (radius + 1) * (radius + 1) && far <= wide * wide) {
                out += abs(differs(t, x + i, y + j));
                out_count++;
            }
        }
    return fabs((double)in) / in_count - (double)out / out_count;
}

/* The frame, and the frames before and after in which the ball has left its place; where it is slow
 * or at the clip's ends, what stands still takes their part. */
static bool three_of(const look_out *l, int n, double step_px, three *t, sp_error *error) {
    const double need = 2.5 * l->radius / fmax(step_px, 0.1);
    const int apart = need < 1 ? 1 : (int)ceil(need);
    const int before = n - apart, after = n + apart;
    *t = (three){.width = l->clip->width, .height = l->clip->height};
    t->before = t->after = l->backdrop->median;
    if (apart <= 8 && before >= 0 &&
        (t->before = carry_reel_luma(l->walk->reel, before, error)) == NULL)
        return false;
    if (apart <= 8 && after < l->clip->frames &&
        (t->after = carry_reel_luma(l->walk->reel, after, error)) == NULL)
        return false;
    t->now = carry_reel_luma(l->walk->reel, n, error);
    return t->now != NULL;
}

typedef struct {
    int x, y;
    double contrast, second;
} found_spot;

/* The best spot within `reach` of a place, and the best one that is elsewhere. */
static found_spot search(const three *t, sp_point about, double reach, int radius) {
    found_spot best = {.contrast = 0};
    const int x0 = (int)floor(about.x), y0 = (int)floor(about.y), r = (int)ceil(reach);
    for (int y = y0 - r; y <= y0 + r; y++)
        for (int x = x0 - r; x <= x0 + r; x++) {
            if (hypot(x - x0, y - y0) > reach || differs(t, x, y) == 0) continue;
            const double contrast = spot(t, x, y, radius);
            const bool elsewhere = hypot(x - best.x, y - best.y) > 2 * radius;
            if (contrast > best.contrast) {
                best.second = elsewhere ? best.contrast : best.second;
                best.x = x;
                best.y = y;
                best.contrast = contrast;
            } else if (elsewhere && contrast > best.second) {
                best.second = contrast;
            }
        }
    return best;
}

/* The middle of what differs about a spot, as long as its smear. */
static sp_point middle_of(const three *t, const found_spot *f, double reach) {
    sp_point at = {f->x + 0.5, f->y + 0.5};
    const int sign = differs(t, f->x, f->y) > 0 ? 1 : -1;
    /* Light and shade on the ball do not draw its middle aside. */
    const double enough = 0.35 * f->contrast;
    for (int turn = 0; turn < 3; turn++) {
        double sum = 0, x_sum = 0, y_sum = 0;
        const int r = (int)ceil(reach);
        for (int j = -r; j <= r; j++)
            for (int i = -r; i <= r; i++) {
                const int x = (int)floor(at.x) + i, y = (int)floor(at.y) + j;
                if (hypot(x + 0.5 - at.x, y + 0.5 - at.y) > reach) continue;
                const double w = fmin(fmax(0.0, sign * differs(t, x, y) - 6.0), enough);
                sum += w;
                x_sum += w * (x + 0.5);
                y_sum += w * (y + 0.5);
            }
        if (sum <= 0) break;
        at = (sp_point){x_sum / sum, y_sum / sum};
    }
    return at;
}

static double step_px(const carry_smoothed *s, int i, int count) {
    const int other = i + 1 < count ? i + 1 : i - 1;
    return other < 0 ? 0 : sp_point_distance(s[i].at, s[other].at);
}

/* Its size and contrast: the disc that stands out most at the taps. */
static bool learn_size(look_out *l, const carry_evidence *e, const carry_smoothed *s,
                       sp_error *error) {
    double contrast[RADIUS_MOST + 1] = {0};
    int taps = 0;
    for (int i = 0; i < l->count; i++) {
        if (!e[i].tap) continue;
        three t;
        l->radius = RADIUS_MOST / 2;
        if (!three_of(l, l->first + i, step_px(s, i, l->count), &t, error)) return false;
        for (int r = RADIUS_LEAST; r <= RADIUS_MOST; r++)
            contrast[r] += search(&t, e[i].second.at, TAP_OFF, r).contrast;
        taps++;
    }
    int best = RADIUS_LEAST;
    /* A larger disc must be worth its area: the whole ball, not its brightest part. */
    for (int r = RADIUS_LEAST; r <= RADIUS_MOST; r++)
        if (contrast[r] * sqrt(r) > contrast[best] * sqrt(best)) best = r;
    l->radius = best;
    l->contrast = taps > 0 ? contrast[best] / taps : 0;
    return true;
}

/* True when the frame told something new. */
static bool look_at(look_out *l, int i, carry_evidence *e, const carry_smoothed *s, bool *good,
                    sp_error *error) {
    const double sd = sqrt(0.5 * (s[i].cov[0] + s[i].cov[2]));
    const double reach = fmax(2.0, GATE * sd), step = step_px(s, i, l->count);
    if (e[i].tap || e[i].first.there || reach > GATE_MOST * l->radius) return false;
    three t;
    *good = three_of(l, l->first + i, step, &t, error);
    if (!*good) return false;
    const found_spot f = search(&t, s[i].at, reach, l->radius);
    if (f.contrast < CONTRAST_LEAST * l->contrast || f.second > SECOND_MOST * f.contrast)
        return false;
    const double along = SMEAR_SHARE * step / fmax(step, 1e-9);
    const sp_point other = s[i + 1 < l->count ? i + 1 : i - 1].at;
    const sp_point way = sp_point_times(sp_point_subtract(other, s[i].at), along);
    const double noise = SPOT_SD * SPOT_SD;
    e[i].first =
        (carry_place){.there = true,
                      .at = middle_of(&t, &f, 1.4 * l->radius + 0.15 * step),
                      .cov = {noise + way.x * way.x, way.x * way.y, noise + way.y * way.y}};
    return true;
}

/* The spots' shared error: how the light falls, and how that changes on the way. */
static void expect_light(const look_out *l, carry_evidence *e) {
    const double lit = LIT_SHARE * l->radius, turns = LIT_TURNS * l->radius;
    e[0].first_noise = lit * lit;
    for (int i = 1; i < l->count; i++)
        e[i].first_noise = turns * turns * (e[i].seconds - e[i - 1].seconds);
}

bool carry_ball(carry_walk *walk, const carry_backdrop *backdrop, int first, size_t count,
                carry_evidence *evidence, carry_smoothed *smoothed, sp_error *error) {
    const sp_carry_clip *clip = carry_reel_clip(walk->reel);
    look_out l = {walk, backdrop, clip, first, (int)count, 0, 0};
    const double side = fmax(clip->width, clip->height);
    const carry_wander air = {AIR_POWER + 2 * log10(side / 1000), 0};
    bool good = carry_smooth(evidence, count, air, smoothed, error) &&
                learn_size(&l, evidence, smoothed, error);
    walk->step = 1.0 / ROUNDS_MAX;
    expect_light(&l, evidence);
    for (int round = 0, found = 1; good && found > 0 && round < ROUNDS_MAX; round++) {
        found = 0;
        for (int i = 0; good && i < l.count; i++)
            found += look_at(&l, i, evidence, smoothed, &good, error);
        good = good && carry_walk_tell(walk, error) &&
               carry_smooth(evidence, count, air, smoothed, error);
    }
    return good;
}
