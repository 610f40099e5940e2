#include "carry/follow.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "carry/align.h"

/* Normalized correlation from which a place counts as found, against the appearance at hand, and
 * below which a fresher one is taken first (own choice, by the demo clips). */
#define LIKE_FOUND 0.60
#define LIKE_FRESH 0.82
/* So many frames without a finding end the walk. */
#define LOST_MAX 2
/* A point is lost before it is noticed: so many findings before are not believed either. */
#define LOST_BEFORE 2
/* There and back again must end this near, in pixels or shares of the radius. */
#define RETURN_MAX 1.5
#define RETURN_SHARE 0.25
/* A place farther from the expected one than so many deviations is something else. */
#define EXPECTED_MOST 2.5

typedef struct {
    carry_patch patches[2];
    int now; /* which of them is the frame before */
    carry_appearance seen_as;
    carry_warp warp, before;   /* here and one frame earlier */
    sp_point velocity, change; /* px a frame, and how that changed */
    bool moving;               /* velocity is known */
    int steps, lost, renewed;
} walker;

bool carry_walk_tell(carry_walk *walk, sp_error *error) {
    walk->done += walk->step;
    if (walk->tell == NULL || walk->tell(walk->whom, fmin(walk->done, 1.0))) return true;
    return sp_fail(error, SP_ERROR_CANCELLED, "carrying was given up; nothing has changed");
}

static carry_warp unturned(sp_point at) { return (carry_warp){at, {1, 0, 0, 1}}; }

/* Turns on by as much as in the step before; shear and size are not prolonged. */
static void turn_on(const walker *w, double m[4]) {
    const double a = atan2(w->warp.m[2] - w->warp.m[1], w->warp.m[0] + w->warp.m[3]);
    const double b = atan2(w->before.m[2] - w->before.m[1], w->before.m[0] + w->before.m[3]);
    const double turn = fmin(fmax(remainder(a - b, 2 * M_PI), -0.35), 0.35);
    const double c = cos(turn), s = sin(turn);
    const double *from = w->warp.m;
    m[0] = c * from[0] - s * from[2];
    m[1] = c * from[1] - s * from[3];
    m[2] = s * from[0] + c * from[2];
    m[3] = s * from[1] + c * from[3];
}

static bool sane(const carry_warp *w) {
    const double det = w->m[0] * w->m[3] - w->m[1] * w->m[2];
    const double size = hypot(hypot(w->m[0], w->m[1]), hypot(w->m[2], w->m[3]));
    return det > 0.25 && det < 3.0 && size < 2.9;
}

typedef struct {
    carry_warp warp;
    carry_match match;
    double returned; /* how far from its start the way back ends, px */
    bool structured;
} finding;

/* The shift from the frame before, begun at `guess`, and back again. */
static bool shift_there(walker *w, int radius, sp_point guess, finding *f) {
    const carry_patch *from = &w->patches[w->now], *to = &w->patches[1 - w->now];
    double off;
    f->warp.at = guess;
    f->structured = carry_shift(from, w->warp.at, to, radius, &f->warp.at, &off);
    sp_point back = w->warp.at;
    carry_shift(to, f->warp.at, from, radius, &back, &off);
    f->returned = sp_point_distance(back, w->warp.at);
    return f->returned < fmax(RETURN_MAX, RETURN_SHARE * radius);
}

static void refine(const walker *w, finding *f) {
    const sp_point shifted = f->warp.at;
    carry_refine(&w->seen_as, &w->patches[1 - w->now], &f->warp, &f->match);
    if (!sane(&f->warp) || sp_point_distance(shifted, f->warp.at) > 0.75 * w->seen_as.radius)
        f->match.likeness = -1;
}

static bool expected(const carry_smoothed *e, const finding *f) {
    const double a = e->cov[0] + f->match.cov[0] + 1, b = e->cov[1] + f->match.cov[1];
    const double c = e->cov[2] + f->match.cov[2] + 1;
    const sp_point off = sp_point_subtract(f->warp.at, e->at);
    return c * off.x * off.x - 2 * b * off.x * off.y + a * off.y * off.y <
           EXPECTED_MOST * EXPECTED_MOST * (a * c - b * b);
}

/* Turned on as in the step before, and as it was: what is likelier. */
static void refine_both(const walker *w, finding *f) {
    finding straight = *f;
    turn_on(w, f->warp.m);
    refine(w, f);
    if (f->match.likeness >= LIKE_FRESH) return;
    memcpy(straight.warp.m, w->warp.m, sizeof straight.warp.m);
    refine(w, &straight);
    if (straight.match.likeness > f->match.likeness) *f = straight;
}

typedef struct {
    sp_point starts[3];
    int count;
    const carry_smoothed *expected;
} guesses;

/* The best of some beginnings. */
static finding look(walker *w, int radius, const guesses *g) {
    finding best = {.match.likeness = -2};
    for (int i = 0; i < g->count; i++) {
        finding f = {.warp = w->warp};
        const bool returns = shift_there(w, radius, g->starts[i], &f);
        refine_both(w, &f);
        if (!returns) f.match.likeness = fmin(f.match.likeness, LIKE_FRESH - 0.1);
        if (!expected(g->expected, &f)) f.match.likeness = -1;
        if (f.match.likeness > best.match.likeness) best = f;
        if (best.match.likeness > 0.9) break;
    }
    return best;
}

/* What the point looks like on the frame before, instead of at the tap. */
static void renew(walker *w, int radius) {
    carry_appearance_take(&w->seen_as, &w->patches[w->now].planes[0], w->warp.at, radius);
    w->warp = unturned(w->warp.at);
    w->before = w->warp;
    w->renewed++;
}

static void go_on(walker *w, const finding *f) {
    const sp_point velocity = sp_point_subtract(f->warp.at, w->warp.at);
    w->change = w->moving ? sp_point_subtract(velocity, w->velocity) : (sp_point){0, 0};
    w->velocity = velocity;
    w->moving = true;
    w->before = w->warp;
    w->warp = f->warp;
    w->lost = 0;
}

static void note(const walker *w, const finding *f, carry_sighting *s) {
    const double returned = f->returned * f->returned / 2;
    /* A smear along the way: the place along it is known to a part of the way only. */
    const double blurred = fmax(0.0, 1.0 - f->match.sharpness / 0.5);
    const double x = 0.2 * blurred * w->velocity.x, y = 0.2 * blurred * w->velocity.y;
    *s = (carry_sighting){.seen = true,
                          .at = f->warp.at,
                          .cov = {f->match.cov[0] + returned + x * x, f->match.cov[1] + x * y,
                                  f->match.cov[2] + returned + y * y},
                          .likeness = f->match.likeness,
                          .renewed = w->renewed};
}

static void add_guess(guesses *g, sp_point at) {
    for (int i = 0; i < g->count; i++)
        if (sp_point_distance(g->starts[i], at) <= 0.5) return;
    g->starts[g->count++] = at;
}

/* On as the taps let expect, on with the motion, and where something looks like it. */
static guesses guess(const walker *w, const carry_smoothed *before, const carry_smoothed *now,
                     const carry_sighting *looks) {
    guesses g = {.count = 0, .expected = now};
    add_guess(&g, sp_point_add(w->warp.at, sp_point_subtract(now->at, before->at)));
    if (w->moving)
        add_guess(&g, sp_point_add(w->warp.at,
                                   sp_point_add(w->velocity, sp_point_times(w->change, 0.7))));
    if (looks->seen) add_guess(&g, looks->at);
    return g;
}

static void step(walker *w, int radius, const guesses *g, carry_sighting *s) {
    w->steps++;
    *s = (carry_sighting){.at = g->starts[0]};
    finding f = look(w, radius, g);
    if (f.match.likeness < LIKE_FRESH && w->lost == 0 && w->steps > 1) {
        renew(w, radius);
        const finding fresh = look(w, radius, g);
        if (fresh.match.likeness > f.match.likeness) f = fresh;
    }
    /* Found again only where it looks as it did. */
    const double enough = w->lost > 0 ? LIKE_FRESH : LIKE_FOUND;
    if (f.match.likeness >= enough && f.structured) {
        go_on(w, &f);
        note(w, &f, s);
    } else {
        w->lost++;
        w->before = w->warp;
        w->warp.at = g->starts[0];
    }
}

/* Far enough for the next step, whatever it may be. */
static int levels_for(const walker *w, int radius, const guesses *g) {
    const sp_point way = sp_point_subtract(g->starts[0], w->warp.at);
    double reach = 6 + 0.4 * sp_point_length(way) * (1 + w->lost);
    for (int i = 1; i < g->count; i++) reach += sp_point_distance(g->starts[0], g->starts[i]);
    int levels = 2;
    while (levels < CARRY_LEVELS_MAX - 1 && reach > 0.6 * radius * (1 << (levels - 1))) levels++;
    return levels;
}

static bool cut(carry_walk *walk, carry_patch *patch, int n, sp_point at, int levels,
                sp_error *error) {
    const uint8_t *luma = carry_reel_luma(walk->reel, n, error);
    return luma != NULL && carry_patch_cut(patch, carry_reel_clip(walk->reel), luma, &walk->look,
                                           at, walk->radius, levels, error);
}

static void forget(carry_sighting *sightings, int lost) {
    for (int k = lost - 1; k > 0 && k >= lost - LOST_BEFORE; k--) sightings[k].seen = false;
}

static bool walk_on(carry_walk *walk, walker *w, int first, int last, carry_sighting *sightings,
                    sp_error *error) {
    const int way = last > first ? 1 : -1;
    for (int k = 1; k <= abs(last - first); k++) {
        sightings[k] = (carry_sighting){0};
        if (w->lost > LOST_MAX) continue;
        const int n = first + way * k;
        if (walk->again[(way > 0 ? n : n + 1) - walk->expected_first]) {
            sightings[k] = sightings[k - 1]; /* the same picture */
            if (!carry_walk_tell(walk, error)) return false;
            continue;
        }
        const carry_smoothed *now = &walk->expected[n - walk->expected_first];
        const guesses g = guess(w, now - way, now, &walk->route[n - walk->expected_first]);
        const int levels = levels_for(w, walk->radius, &g);
        if (!cut(walk, &w->patches[w->now], n - way, w->warp.at, levels, error) ||
            !cut(walk, &w->patches[1 - w->now], n, g.starts[0], levels, error) ||
            !carry_walk_tell(walk, error))
            return false;
        step(w, walk->radius, &g, &sightings[k]);
        w->now = 1 - w->now;
        if (w->lost == 1) forget(sightings, k);
    }
    return true;
}

bool carry_follow(carry_walk *walk, int first, sp_point at, int last, carry_sighting *sightings,
                  sp_error *error) {
    walker w = {.warp = unturned(at), .before = unturned(at)};
    sightings[0] = (carry_sighting){.seen = true, .at = at, .likeness = 1};
    bool good = cut(walk, &w.patches[0], first, at, 1, error);
    if (good) {
        carry_appearance_take(&w.seen_as, &w.patches[0].planes[0], at, walk->radius);
        good = walk_on(walk, &w, first, last, sightings, error);
    }
    carry_patch_clear(&w.patches[0]);
    carry_patch_clear(&w.patches[1]);
    return good;
}
