/* How often chance alone regroups values, or turns signs, so that they differ as much. */
#include <math.h>
#include <stdlib.h>

#include "serveplumb/draws.h"
#include "serveplumb/statistics.h"

/* Sums of the same values in another order differ by rounding alone: so much, relative to the sum
 * of their sizes, counts as a tie. */
static const double TIE = 1e-12;

typedef struct {
    const double *values; /* first group, then second */
    size_t count, picked; /* the first group has `picked` */
    double total, seen, tie;
    double hits, looked;
} regrouping;

static double difference_of(const regrouping *r, double picked_sum) {
    return (r->total - picked_sum) / (double)(r->count - r->picked) -
           picked_sum / (double)r->picked;
}

static void look(regrouping *r, double picked_sum) {
    r->looked++;
    if (fabs(difference_of(r, picked_sum)) >= r->seen - r->tie) r->hits++;
}

/* Above `most`: any larger number. */
static double regroupings(size_t count, size_t picked, double most) {
    double ways = 1;
    for (size_t i = 1; i <= picked && ways <= most; i++)
        ways = ways * (double)(count - picked + i) / (double)i;
    return round(ways);
}

/* Every choice in order: at[d] is the d-th value picked, sums[d] what those before it come to. */
static void look_at_all(regrouping *r, size_t *at, double *sums) {
    const size_t last = r->picked - 1;
    size_t depth = 0;
    at[0] = 0;
    sums[0] = 0;
    for (;;) {
        if (at[depth] > r->count - r->picked + depth) {
            if (depth == 0) return;
            at[--depth]++;
            continue;
        }
        const double sum = sums[depth] + r->values[at[depth]];
        if (depth == last) {
            look(r, sum);
            at[depth]++;
        } else {
            sums[depth + 1] = sum;
            at[depth + 1] = at[depth] + 1;
            depth++;
        }
    }
}

/* The first of a shuffle (Fisher and Yates). */
static void look_at_some(regrouping *r, double *shuffled, sp_random *random) {
    for (size_t i = 0; i < r->count; i++) shuffled[i] = r->values[i];
    for (size_t n = 0; n < SP_REGROUPINGS_DRAWN; n++) {
        double sum = 0;
        for (size_t i = 0; i < r->picked; i++) {
            const size_t other = i + (size_t)sp_random_uniform(random, 0, (double)(r->count - i));
            const double value = shuffled[other];
            shuffled[other] = shuffled[i];
            shuffled[i] = value;
            sum += value;
        }
        look(r, sum);
    }
}

/* At random the regrouping that was seen is one more; its binomial error by the normal. */
static void conclude(double hits, double looked, double ways, double least, bool exact,
                     sp_permutation *permutation) {
    *permutation = (sp_permutation){.exact = exact, .regrouped = looked};
    permutation->p = exact ? hits / looked : (hits + 1) / (looked + 1);
    permutation->p_error = exact ? 0 : 1.96 * sqrt(permutation->p * (1 - permutation->p) / looked);
    permutation->p_least = fmin(1, least / ways);
}

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY,
                   "no memory left to regroup the values; close other programs");
}

static bool run(regrouping *r, bool exact, uint64_t seed, sp_error *error) {
    double *room = calloc(r->count + 1, sizeof *room);
    size_t *at = calloc(r->count + 1, sizeof *at);
    sp_random *random = exact ? NULL : sp_random_new(seed == 0 ? SP_DRAWS_SEED : seed, error);
    const bool good = room != NULL && at != NULL && (exact || random != NULL);
    if (!good) {
        no_memory(error);
    } else if (exact) {
        look_at_all(r, at, room);
    } else {
        look_at_some(r, room, random);
    }
    sp_random_free(random);
    free(at);
    free(room);
    return good;
}

bool sp_permutation_test(const double *first, size_t first_count, const double *second,
                         size_t second_count, uint64_t seed, sp_permutation *permutation,
                         sp_error *error) {
    if (first_count == 0 || second_count == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT, "a group without values cannot be regrouped");
    const size_t count = first_count + second_count;
    double *values = calloc(count, sizeof *values);
    if (values == NULL) return no_memory(error);
    double sizes = 0;
    regrouping r = {.values = values, .count = count, .picked = first_count};
    for (size_t i = 0; i < count; i++) {
        values[i] = i < first_count ? first[i] : second[i - first_count];
        r.total += values[i];
        sizes += fabs(values[i]);
    }
    double sum = 0;
    for (size_t i = 0; i < first_count; i++) sum += first[i];
    r.tie = TIE * sizes;
    r.seen = fabs(difference_of(&r, sum));
    const double ways = regroupings(count, first_count, SP_REGROUPINGS_MAX);
    const bool exact = ways <= SP_REGROUPINGS_MAX;
    const bool good = run(&r, exact, seed, error);
    /* Groups of one size: the mirror image differs as much. */
    if (good)
        conclude(r.hits, r.looked, ways, first_count == second_count ? 2 : 1, exact, permutation);
    free(values);
    return good;
}

/* --- signs ----------------------------------------------------------------------------------- */
enum { HALF_MAX = 11 };

/* sums[m]: the values with those of the set bits of m turned. */
static void turn_all(const double *values, size_t count, double *sums) {
    for (size_t m = 0; m < (size_t)1 << count; m++) {
        sums[m] = 0;
        for (size_t i = 0; i < count; i++) sums[m] += m >> i & 1 ? -values[i] : values[i];
    }
}

/* In two halves, so that each sum is had by one addition and rounding does not pile up. */
static double turned_hits(const double *values, size_t count, double seen) {
    static const size_t split = HALF_MAX;
    double low[1 << HALF_MAX], high[1 << HALF_MAX], hits = 0;
    const size_t lower = count < split ? count : split, upper = count - lower;
    turn_all(values, lower, low);
    turn_all(values + lower, upper, high);
    for (size_t h = 0; h < (size_t)1 << upper; h++)
        for (size_t l = 0; l < (size_t)1 << lower; l++)
            hits += fabs(low[l] + high[h]) >= seen ? 1 : 0;
    return hits;
}

static double drawn_hits(const double *values, size_t count, double seen, sp_random *random) {
    double hits = 0;
    for (size_t n = 0; n < SP_REGROUPINGS_DRAWN; n++) {
        double sum = 0;
        for (size_t i = 0; i < count; i++)
            sum += sp_random_uniform(random, 0, 1) < 0.5 ? -values[i] : values[i];
        hits += fabs(sum) >= seen ? 1 : 0;
    }
    return hits;
}

bool sp_permutation_paired(const double *differences, size_t count, uint64_t seed,
                           sp_permutation *permutation, sp_error *error) {
    if (count == 0) return sp_fail(error, SP_ERROR_ARGUMENT, "no differences: no signs to turn");
    double sum = 0, sizes = 0;
    for (size_t i = 0; i < count; i++) {
        sum += differences[i];
        sizes += fabs(differences[i]);
    }
    const double seen = fabs(sum) - TIE * sizes, ways = exp2((double)count);
    const bool exact = ways <= SP_REGROUPINGS_MAX;
    if (exact) {
        conclude(turned_hits(differences, count, seen), ways, ways, 2, true, permutation);
        return true;
    }
    sp_random *random = sp_random_new(seed == 0 ? SP_DRAWS_SEED : seed, error);
    if (random == NULL) return false;
    conclude(drawn_hits(differences, count, seen, random), SP_REGROUPINGS_DRAWN, ways, 2, false,
             permutation);
    sp_random_free(random);
    return true;
}
