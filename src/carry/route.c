#include "carry/route.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "carry/search.h"

/* Candidates of either tap's appearance; the last one of a frame is the expected place itself,
 * where nothing is seen. */
#define SPOTS 4
#define CANDIDATES (2 * SPOTS + 1)
/* What a candidate costs by its unlikeness, and what seeing nothing costs (natural logarithms). */
#define UNLIKE_COSTS 30.0
#define NOTHING_COSTS 13.0
/* What an acceleration costs at most, since a way may lead through a frame that shows nothing. */
#define TURN_COSTS_MOST 14.0
#define NOISE_PX 2.0
#define LIKE_LEAST 0.6
/* A way elsewhere that costs no more than this in addition makes a place doubtful. */
#define SURE_COSTS 2.0
/* How far a place that looks like the point is from it, px: more, the less it does. */
#define ROUTE_SD_LEAST 2.0
#define ROUTE_SD_UNLIKE 80.0
/* How far a place is looked for, at most, in radii of the window. */
#define REACH_RADII 10.0

typedef struct {
    sp_point at;
    double likeness, costs;
    bool seen;
} candidate;

typedef struct {
    candidate at[CANDIDATES];
    int count;
    double seconds;
    double costs[CANDIDATES][CANDIDATES];  /* best way to here by [candidate before][this one] */
    double onward[CANDIDATES][CANDIDATES]; /* best way from here to the end */
} stage;

typedef struct {
    carry_appearance ends[2];
    carry_patch patch;
    stage *stages;
    int steps;
} router;

static bool take_end(router *r, carry_walk *walk, int end, const sp_carry_tap *tap,
                     sp_error *error) {
    const uint8_t *luma = carry_reel_luma(walk->reel, tap->frame, error);
    if (luma == NULL || !carry_patch_cut(&r->patch, carry_reel_clip(walk->reel), luma, &walk->look,
                                         tap->at, walk->radius, 1, error))
        return false;
    carry_appearance_take(&r->ends[end], &r->patch.planes[0], tap->at, walk->radius);
    return true;
}

static void add(stage *s, const carry_spot *spot, const carry_match *match) {
    candidate *c = &s->at[s->count++];
    *c = (candidate){spot->warp.at, match->likeness, UNLIKE_COSTS * (1 - match->likeness), true};
}

static void find_candidates(router *r, carry_walk *walk, const carry_smoothed *about, double reach,
                            stage *s) {
    for (int end = 0; end < 2; end++) {
        carry_spot spots[SPOTS];
        const int count = carry_search(&r->ends[end], &r->patch, about, reach, spots, SPOTS);
        for (int i = 0; i < count; i++) {
            carry_match match;
            const sp_point before = spots[i].warp.at;
            carry_refine(&r->ends[end], &r->patch, &spots[i].warp, &match);
            if (sp_point_distance(before, spots[i].warp.at) < walk->radius &&
                match.likeness > LIKE_LEAST)
                add(s, &spots[i], &match);
        }
    }
    s->at[s->count++] = (candidate){about->at, 0, NOTHING_COSTS, false};
}

static bool look_at(router *r, carry_walk *walk, int n, stage *s, sp_error *error) {
    const carry_smoothed *about = &walk->expected[n - walk->expected_first];
    const double sd = sqrt(fmax(about->cov[0], about->cov[2]));
    const double reach =
        fmin(fmax(CARRY_SEARCH_SDS * sd, walk->radius), REACH_RADII * walk->radius);
    int levels = 2;
    while (levels < CARRY_LEVELS_MAX &&
           (2 * walk->radius + 3) * (1 << (levels - 1)) < reach + walk->radius + 4)
        levels++;
    const uint8_t *luma = carry_reel_luma(walk->reel, n, error);
    if (luma == NULL || !carry_patch_cut(&r->patch, carry_reel_clip(walk->reel), luma, &walk->look,
                                         about->at, walk->radius, levels, error))
        return false;
    find_candidates(r, walk, about, reach, s);
    return true;
}

/* What it costs to come to c by a and b, as far as it is not a straight and even way. */
static double turn_costs(const stage *sa, const candidate *a, const stage *sb, const candidate *b,
                         const stage *sc, const candidate *c, const carry_agility *agility) {
    const double before = fmax(sb->seconds - sa->seconds, 1e-3);
    const double after = fmax(sc->seconds - sb->seconds, 1e-3);
    const sp_point step = sp_point_times(sp_point_subtract(b->at, a->at), after / before);
    const double off = sp_point_distance(sp_point_add(b->at, step), c->at);
    const double usual = agility->acceleration * after * 0.5 * (before + after) + NOISE_PX;
    return fmin(0.5 * off * off / (usual * usual), TURN_COSTS_MOST);
}

/* And to come to b from the first tap, as far as it takes an unusual speed. */
static double start_costs(const stage *sa, const stage *sb, const candidate *b,
                          const carry_agility *agility) {
    const double off = sp_point_distance(sa->at[0].at, b->at);
    const double usual = agility->speed * fmax(sb->seconds - sa->seconds, 1e-3) + NOISE_PX;
    return fmin(0.5 * off * off / (usual * usual), TURN_COSTS_MOST);
}

/* Best ways from the first tap to each pair of candidates on frames k - 1 and k. */
static void join_before(router *r, int k, const carry_agility *agility) {
    stage *now = &r->stages[k];
    const stage *before = &r->stages[k - 1], *first = k > 1 ? &r->stages[k - 2] : NULL;
    for (int c = 0; c < now->count; c++)
        for (int b = 0; b < before->count; b++) {
            double least = INFINITY;
            if (k == 1) least = start_costs(before, now, &now->at[c], agility);
            for (int a = 0; first != NULL && a < first->count; a++)
                least = fmin(least, before->costs[a][b] + turn_costs(first, &first->at[a], before,
                                                                     &before->at[b], now,
                                                                     &now->at[c], agility));
            now->costs[b][c] = least + now->at[c].costs;
        }
}

/* And from there on to the second tap. */
static void join_after(router *r, int k, const carry_agility *agility) {
    stage *now = &r->stages[k];
    const stage *before = &r->stages[k - 1], *next = k < r->steps ? &r->stages[k + 1] : NULL;
    for (int b = 0; b < before->count; b++)
        for (int c = 0; c < now->count; c++) {
            double least = next == NULL ? 0 : INFINITY;
            for (int d = 0; next != NULL && d < next->count; d++)
                least = fmin(least, next->onward[c][d] + next->at[d].costs +
                                        turn_costs(before, &before->at[b], now, &now->at[c], next,
                                                   &next->at[d], agility));
            now->onward[b][c] = least;
        }
}

/* The best way through each candidate of a frame; the frame shows the point where one is better
 * than all that are elsewhere. */
static void decide(const router *r, int k, double apart, carry_sighting *s) {
    const stage *now = &r->stages[k];
    double costs[CANDIDATES] = {INFINITY}, other = INFINITY;
    int best = 0;
    for (int c = 0; c < now->count; c++) {
        costs[c] = INFINITY;
        for (int b = 0; b < r->stages[k - 1].count; b++)
            costs[c] = fmin(costs[c], now->costs[b][c] + now->onward[b][c]);
        if (costs[c] < costs[best]) best = c;
    }
    const candidate *at = &now->at[best];
    for (int c = 0; c < now->count; c++)
        if (!now->at[c].seen || sp_point_distance(now->at[c].at, at->at) > apart)
            other = fmin(other, costs[c]);
    const double sd = ROUTE_SD_LEAST + ROUTE_SD_UNLIKE * (1 - at->likeness);
    *s = (carry_sighting){.seen = at->seen && other - costs[best] > SURE_COSTS,
                          .at = at->at,
                          .cov = {sd * sd, 0, sd * sd},
                          .likeness = at->likeness};
}

static void same_again(const stage *before, stage *now) {
    memcpy(now->at, before->at, sizeof now->at);
    now->count = before->count;
}

static bool route_through(router *r, carry_walk *walk, const sp_carry_tap *a, const sp_carry_tap *b,
                          const carry_agility *agility, sp_error *error) {
    for (int k = 0; k <= r->steps; k++) {
        stage *s = &r->stages[k];
        const int n = a->frame + k;
        const sp_carry_tap *tap = k == 0 ? a : k == r->steps ? b : NULL;
        s->seconds = walk->seconds[n - walk->expected_first];
        if (tap != NULL)
            s->at[s->count++] = (candidate){tap->at, 1, 0, true};
        else if (walk->again[n - walk->expected_first])
            same_again(&r->stages[k - 1], s);
        else if (!look_at(r, walk, n, s, error))
            return false;
        if (k > 0) join_before(r, k, agility);
    }
    for (int k = r->steps; k > 0; k--) join_after(r, k, agility);
    return true;
}

bool carry_route(carry_walk *walk, const sp_carry_tap *a, const sp_carry_tap *b,
                 const carry_agility *agility, carry_sighting *route, sp_error *error) {
    router r = {.steps = b->frame - a->frame};
    r.stages = calloc((size_t)r.steps + 1, sizeof *r.stages);
    bool good = r.stages != NULL ||
                sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
    good = good && take_end(&r, walk, 0, a, error) && take_end(&r, walk, 1, b, error) &&
           route_through(&r, walk, a, b, agility, error);
    for (int k = 1; good && k < r.steps; k++) decide(&r, k, 0.5 * walk->radius, &route[k]);
    carry_patch_clear(&r.patch);
    free(r.stages);
    return good;
}
