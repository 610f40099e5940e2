#include "pairs.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/compare.h"
#include "tapping.h"

enum { DRAWS = 150, SERVES_MAX = 8, MEASURES_MAX = 96 };

/* One day's serves of one camera, filmed and tapped. */
typedef struct {
    scene camera;
    sp_serve serves[SERVES_MAX];
    sp_readout *readouts[SERVES_MAX];
    sp_review *reviews[SERVES_MAX];
    sp_day day;
} filmed_day;

typedef struct {
    int compared, alone, changed; /* by its own error; by Holm */
    int beyond, found;            /* true changes of twice the detectable */
    double squares, errors;       /* sums of squares: differences, their standard uncertainty */
} tally;

typedef struct {
    const pairs_options *options;
    tally all[MEASURES_MAX];
    int pairs, pairs_changed, compared;
    double apart; /* sum of squares: directions from the player to the two cameras, degrees */
    int same_side;
    int deeper, deeper_found; /* drops that are truly deeper, through the whole chain */
} study;

/* --- a day ----------------------------------------------------------------------------------- */
static void day_clear(filmed_day *d) {
    for (size_t i = 0; i < d->day.count; ++i) {
        sp_readout_free(d->readouts[i]);
        sp_review_free(d->reviews[i]);
    }
    d->day.count = 0;
}

static bool day_add(filmed_day *d, scene *s, const char *scale, uint64_t seed) {
    const size_t n = d->day.count;
    tapping t;
    if (!tapping_make(s, &t)) return false;
    double *seconds = calloc((size_t)s->frames, sizeof *seconds);
    for (int i = 0; seconds != NULL && i < s->frames; ++i) seconds[i] = i / s->rate;
    const sp_readout_options options = {.draws = DRAWS, .seed = seed};
    d->reviews[n] = t.review;
    d->readouts[n] = NULL;
    if (seconds != NULL && sp_review_set_active_scale(t.review, scale, NULL))
        d->readouts[n] =
            sp_readout_new(t.review, (sp_frame_times){seconds, s->frames}, &options, NULL);
    free(seconds);
    d->serves[n] = (sp_serve){t.review, d->readouts[n]};
    d->day.count++;
    return d->readouts[n] != NULL;
}

/* False, and nothing kept, where the dice give no such day. */
static bool day_film(const study *st, filmed_day *d, const char *name, uint64_t seed,
                     double deeper_m) {
    static scene s;
    d->day = (sp_day){name, d->serves, 0};
    for (int n = 0, tries = 0; n < st->options->serves && tries < 20; ++tries) {
        if (!scene_again(&s, &d->camera, seed + 104729 * (uint64_t)(tries + 1), st->options->wobble,
                         deeper_m))
            continue;
        if (!day_add(d, &s, st->options->court ? "court" : "line", seed + (uint64_t)tries)) break;
        ++n;
    }
    if (d->day.count == (size_t)st->options->serves && d->readouts[st->options->serves - 1] != NULL)
        return true;
    day_clear(d);
    return false;
}

/* --- a pair ---------------------------------------------------------------------------------- */
static sp_comparison *compared(const study *st, const filmed_day *a, const filmed_day *b,
                               const char *id) {
    const sp_compare_options options = {.ids = id == NULL ? NULL : &id,
                                        .id_count = id == NULL ? 0 : 1,
                                        .same_camera = st->options->same_camera};
    sp_error error = {0};
    sp_comparison *comparison = sp_comparison_new(&a->day, &b->day, &options, &error);
    if (comparison == NULL) {
        fprintf(stderr, "%s\n", error.message);
        exit(EXIT_FAILURE);
    }
    return comparison;
}

/* The readouts as they would be had the player changed by so much. */
static void shift(filmed_day *d, size_t index, double by) {
    for (size_t i = 0; i < d->day.count; ++i) {
        sp_measure *measure = (sp_measure *)sp_readout_at(d->readouts[i], index);
        measure->value.value += by;
        measure->value.low += by;
        measure->value.high += by;
    }
}

static void take_false(study *st, const sp_comparison *comparison) {
    int changed = 0;
    for (size_t i = 0; i < sp_comparison_count(comparison); ++i) {
        const sp_change *change = sp_comparison_at(comparison, i);
        if (change->apart != SP_COMPARABLE) continue;
        tally *t = &st->all[i];
        t->compared++;
        t->alone += change->difference.low > 0.0 || change->difference.high < 0.0;
        t->changed += change->verdict == SP_CHANGE_CHANGED;
        changed += change->verdict == SP_CHANGE_CHANGED;
        const double sd = change->detectable_alone / 1.96;
        t->squares += change->difference.value * change->difference.value;
        t->errors += sd * sd;
    }
    st->pairs++;
    st->pairs_changed += changed > 0;
    st->compared += (int)sp_comparison_compared(comparison);
}

/* Each measure in turn, among all that are compared. */
static void take_true(study *st, const sp_comparison *before, filmed_day *a, filmed_day *b,
                      uint64_t seed) {
    for (size_t i = 0; i < sp_comparison_count(before); ++i) {
        const sp_change *still = sp_comparison_at(before, i);
        if (still->apart != SP_COMPARABLE || !(still->detectable > 0.0) || (seed + i) % 4 != 0)
            continue;
        const double by = ((seed + i) % 8 == 0 ? -2.0 : 2.0) * still->detectable;
        shift(b, i, by);
        sp_comparison *comparison = compared(st, a, b, NULL);
        st->all[i].beyond++;
        st->all[i].found += sp_comparison_at(comparison, i)->verdict == SP_CHANGE_CHANGED;
        sp_comparison_free(comparison);
        shift(b, i, -by);
    }
}

/* A drop that is truly deeper, filmed again by the second day's camera; asked for alone. */
static void take_deeper(study *st, const filmed_day *a, filmed_day *b, uint64_t seed) {
    sp_comparison *comparison = compared(st, a, b, "hand_elbow_gap");
    const sp_change *still = sp_comparison_at(comparison, 0);
    const double by = still->apart == SP_COMPARABLE ? 2.0 * still->detectable : NAN;
    sp_comparison_free(comparison);
    if (isnan(by)) return;
    day_clear(b);
    /* Whichever way the shoulder has room. */
    if (!day_film(st, b, "after", seed, b->camera.drop_m > 0.02 ? -by : by)) return;
    comparison = compared(st, a, b, "hand_elbow_gap");
    st->deeper++;
    st->deeper_found += sp_comparison_at(comparison, 0)->verdict == SP_CHANGE_CHANGED;
    sp_comparison_free(comparison);
}

/* Of two cameras on the same side of the player. */
static void take_directions(study *st, const filmed_day *a, const filmed_day *b) {
    const vector middle = vec(0.0, 0.0, 1.2);
    const vector one = sub(a->camera.camera.position, add(a->camera.place, middle));
    const vector other = sub(b->camera.camera.position, add(b->camera.place, middle));
    const double between = degrees(acos(fmin(1.0, dot(one, other) / length(one) / length(other))));
    if (between > 90.0) return;
    st->apart += between * between;
    st->same_side++;
}

static void study_pair(study *st, const scene *player, uint64_t seed) {
    static filmed_day a, b;
    a.camera = b.camera = *player;
    b.camera.dice = seed ^ 0x5bd1e995u;
    if (!st->options->same_camera) scene_film(&b.camera, &st->options->set);
    if (!day_film(st, &a, "before", seed + 1, 0.0)) return;
    if (day_film(st, &b, "after", seed + 2, 0.0)) {
        sp_comparison *comparison = compared(st, &a, &b, NULL);
        take_false(st, comparison);
        take_directions(st, &a, &b);
        take_true(st, comparison, &a, &b, seed);
        take_deeper(st, &a, &b, seed + 3);
        sp_comparison_free(comparison);
    }
    day_clear(&a);
    day_clear(&b);
}

/* --- telling --------------------------------------------------------------------------------- */
static double share(int part, int whole) { return whole == 0 ? NAN : 100.0 * part / whole; }

static void tell_measures(const study *st) {
    printf("%-26s %-8s %8s %9s %8s %7s %12s %12s %12s\n", "measure", "moment", "compared", "alone",
           "changed", "found", "differ by", "stated sd", "lacking");
    for (size_t i = 0; i < sp_catalogue_count(); ++i) {
        const tally *t = &st->all[i];
        const sp_measure_kind *kind = sp_catalogue_at(i);
        if (t->compared == 0) continue;
        const double differ = t->squares / t->compared, stated = t->errors / t->compared;
        printf("%-26s %-8s %8d %8.1f%% %7.1f%% %6.1f%% %12.4g %12.4g %12.4g\n", kind->id,
               kind->moment, t->compared, share(t->alone, t->compared),
               share(t->changed, t->compared), share(t->found, t->beyond), sqrt(differ),
               sqrt(stated), sqrt(fmax(0.0, differ - stated)));
    }
}

/* Two and a half deviations of what so many trials scatter. */
static double chance(double percent, int trials) {
    return 2.5 * sqrt(percent * (100.0 - percent) / fmax(1, trials));
}

static bool tell(const study *st) {
    int beyond = 0, found = 0, alone = 0, compared = 0;
    for (size_t i = 0; i < MEASURES_MAX; ++i) {
        beyond += st->all[i].beyond;
        found += st->all[i].found;
        alone += st->all[i].alone;
        compared += st->all[i].compared;
    }
    const double wrong = share(st->pairs_changed, st->pairs), right = share(found, beyond);
    const double deeper = share(st->deeper_found, st->deeper);
    printf("\n%d pairs of %d serves a day by %s, %s, %.1f measures compared in each\n", st->pairs,
           st->options->serves, st->options->court ? "the court" : "a line",
           st->options->same_camera ? "the same camera" : "each day another camera",
           (double)st->compared / fmax(1, st->pairs));
    printf("the cameras look from directions %.1f degrees apart (root mean square)\n",
           sqrt(st->apart / fmax(1, st->same_side)));
    printf("no true change: 'changed' in %.1f %% of pairs (any measure); a measure alone %.1f %%\n",
           wrong, share(alone, compared));
    printf("a true change of twice the detectable: found in %.1f %% of %d\n", right, beyond);
    printf(
        "a drop truly deeper or higher by twice the detectable, filmed: found in %.1f %% of %d\n",
        deeper, st->deeper);
    const pairs_options *o = st->options;
    return st->pairs > 0 && wrong <= o->most + chance(o->most, st->pairs) &&
           right >= o->least - chance(o->least, beyond) &&
           (st->deeper == 0 || deeper >= o->least - chance(o->least, st->deeper));
}

bool pairs_study(const pairs_options *options) {
    static study st;
    static scene player;
    st = (study){.options = options};
    if (sp_catalogue_count() > MEASURES_MAX || options->serves > SERVES_MAX) return false;
    for (uint64_t n = 0; st.pairs < options->pairs && n < 20 * (uint64_t)options->pairs; ++n) {
        const uint64_t seed = options->seed + 7919 * n;
        if (scene_new(&player, seed, &options->set)) study_pair(&st, &player, seed);
    }
    tell_measures(&st);
    return tell(&st);
}
