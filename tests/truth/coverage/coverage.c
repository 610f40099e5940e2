/* coverage [--serves N] [--seed N] [--least PERCENT --most PERCENT] [--records FILE.csv]
 *          [--rate FRAMES/S] [--taps PX] [--exposure S] [--large 1] [--draws N]
 *          [--view 0 side, 1 back, 2 front]
 * coverage --pairs N [--day SERVES] [--wobble SHARE] [--same 1] [--court 1] ...: pairs.h
 *
 * How often the stated 95 % intervals hold the truth, over simulated serves with random cameras,
 * bodies, hands, drops, frame rates and taps: by a line's scale and by the court's, for every
 * measure. The serves are those of the demo generator, an independent model. Fails when a measure's
 * share is outside the given limits (93 to 97; of a measure that fewer than 1,000 serves have, also
 * outside what chance makes of 95 %: is_inside). */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "pairs.h"
#include "study.h"

enum { MEDIANS_FROM = 500 }; /* serves: fewer tell nothing of them */

static const char *const scales[] = {"a line's scale", "the court's landmarks"};

typedef struct {
    double least, most; /* percent */
} limits;

/* The records of one measure by one scale. */
typedef struct {
    int given, held, projected;
    double bias;
    double *errors, *widths; /* absolute; half */
} tally;

/* --- counting -------------------------------------------------------------------------------- */
static int ascending(const void *a, const void *b) {
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values, int count) {
    qsort(values, (size_t)count, sizeof *values, ascending);
    return count == 0 ? NAN : values[count / 2];
}

static void count_row(const study *st, int by, int row, tally *c) {
    c->given = c->held = c->projected = 0;
    c->bias = 0.0;
    for (size_t i = 0; i < st->count; ++i) {
        const record *r = &st->records[i];
        if (r->by != by || r->row != row) continue;
        c->held += r->low <= r->truth && r->truth <= r->high;
        c->projected += r->projected;
        c->bias += r->value - r->truth;
        c->errors[c->given] = fabs(r->value - r->truth);
        c->widths[c->given++] = (r->high - r->low) / 2.0;
    }
    if (c->given > 0) c->bias /= c->given;
}

/* Of `given` intervals that hold 95 %, the chance that no more than `held` do (binomial, exact). */
static double chance_of_most(int held, int given) {
    double sum = 0.0;
    for (int k = 0; k <= held; ++k)
        sum += exp(lgamma(given + 1.0) - lgamma(k + 1.0) - lgamma(given - k + 1.0) + k * log(0.95) +
                   (given - k) * log(0.05));
    return sum;
}

/* A thousand have to lie within the limits. Of fewer, what chance alone leaves outside is allowed
 * up to where it does so 1 time in 500 to each side: as often as 930 and 970 of 1,000 are left. */
static bool is_inside(const tally *c, limits within) {
    const double share = 100.0 * c->held / c->given, rare = 0.002;
    if (share >= within.least && share <= within.most) return true;
    if (c->given >= 1000) return false;
    return chance_of_most(c->held, c->given) > rare &&
           1.0 - chance_of_most(c->held - 1, c->given) > rare;
}

/* --- telling --------------------------------------------------------------------------------- */
static bool tell_row(const study *st, int by, int row, limits within, tally *c) {
    char name[64];
    count_row(st, by, row, c);
    if (c->given == 0) return true;
    const bool inside = is_inside(c, within);
    const bool moment = st->rows[row].moment[0] != '\0';
    snprintf(name, sizeof name, "%s%s%s", st->rows[row].id, moment ? " " : "",
             st->rows[row].moment);
    printf("%-36s %-9s %6d %7.1f%% %11.3g %12.3g %11.3g%s\n", name,
           c->projected > 0 ? "projected" : "ok", c->given, 100.0 * c->held / c->given, c->bias,
           median(c->errors, c->given), median(c->widths, c->given), inside ? "" : "  OUTSIDE");
    return inside;
}

static bool tell(const study *st, int by, limits within, tally *c) {
    int inside = 0, told = 0;
    printf("\nby %s\n%-36s %-9s %6s %8s %11s %12s %11s\n", scales[by], "measure", "status", "given",
           "held", "mean error", "median error", "half width");
    for (int row = 0; row < st->row_count; ++row) {
        const bool good = tell_row(st, by, row, within, c);
        told += c->given > 0;
        inside += c->given > 0 && good;
    }
    printf("%d of %d measures inside\n", inside, told);
    return inside == told;
}

typedef enum { IN_METRES, OF_TRUTH, OF_CAST } error_of;

/* On clips with a court in the picture, which a line reads beside it. */
static double median_of(const study *st, int by, const char *id, error_of what, double *errors,
                        int *count) {
    *count = 0;
    for (size_t i = 0; i < st->count; ++i) {
        const record *r = &st->records[i];
        if (r->by != by || !r->has_court || strcmp(st->rows[r->row].id, id) != 0) continue;
        const double error = what == IN_METRES  ? r->value - r->truth
                             : what == OF_TRUTH ? r->value / r->truth - 1.0
                                                : r->value / r->cast - 1.0;
        errors[(*count)++] = fabs(error);
    }
    return median(errors, *count);
}

/* From the side at 240 frames/s, 1.5 px taps and 1920 x 1080. */
static bool tell_medians(int serves, uint64_t seed) {
    static const char *const names[] = {"line", "court"};
    const fixed set = {.rate = 240, .tap_sd = 1.5, .view = VIEW_SIDE, .large = true, .draws = 2};
    study st = {0};
    bool good = study_run(&st, serves, seed, &set);
    double *errors = calloc(st.count + 1, sizeof *errors);
    good = good && errors != NULL;
    if (good)
        printf("\nfrom the side at 240 frames/s, 1.5 px taps, the same clips: median errors\n");
    for (int by = 0; good && by < BY_COUNT; ++by) {
        int count;
        const double gap = median_of(&st, by, "hand_elbow_gap", IN_METRES, errors, &count);
        const double in_plane = median_of(&st, by, "racquet_head_speed", OF_TRUTH, errors, &count);
        const double cast = median_of(&st, by, "racquet_head_speed", OF_CAST, errors, &count);
        printf(
            "%-6s gap %.1f mm; racquet tip's speed in the plane of motion %.1f %%, as cast on it "
            "by the camera %.1f %% (%d clips)\n",
            names[by], 1000.0 * gap, 100.0 * in_plane, 100.0 * cast, count);
    }
    free(errors);
    study_free(&st);
    return good;
}

static bool write_csv(const study *st, const char *path) {
    FILE *out = fopen(path, "w");
    if (out == NULL) return false;
    fputs("serve,view,by,id,moment,rate,truth,value,low,high\n", out);
    for (size_t i = 0; i < st->count; ++i) {
        const record *r = &st->records[i];
        const truth *row = &st->rows[r->row];
        fprintf(out, "%d,%d,%d,%s,%s,%g,%.9g,%.9g,%.9g,%.9g\n", r->serve, r->view, r->by, row->id,
                row->moment, r->rate, r->truth, r->value, r->low, r->high);
    }
    return fclose(out) == 0;
}

/* --- asked ----------------------------------------------------------------------------------- */
static const char *word_of(int count, char **words, const char *name) {
    for (int i = 1; i + 1 < count; ++i)
        if (strcmp(words[i], name) == 0) return words[i + 1];
    return NULL;
}

static double option(int count, char **words, const char *name, double otherwise) {
    const char *word = word_of(count, words, name);
    return word == NULL ? otherwise : strtod(word, NULL);
}

static bool tell_all(const study *st, limits within) {
    double *room = calloc(st->count + 1, 2 * sizeof *room);
    if (room == NULL) return false;
    tally c = {.errors = room, .widths = room + st->count};
    printf("%d serves, %d with a court in the picture, of which %d poses were refused\n",
           st->serves, st->courts, st->refused);
    const bool line = tell(st, BY_LINE, within, &c), court = tell(st, BY_COURT, within, &c);
    free(room);
    return line && court;
}

static int study_pairs(int count, char **words, const fixed *set) {
    const pairs_options options = {.pairs = (int)option(count, words, "--pairs", 0),
                                   .serves = (int)option(count, words, "--day", 3),
                                   .seed = (uint64_t)option(count, words, "--seed", 20270314),
                                   .wobble = option(count, words, "--wobble", 0.2),
                                   .set = *set,
                                   .same_camera = option(count, words, "--same", 0) > 0,
                                   .court = option(count, words, "--court", 0) > 0,
                                   .most = option(count, words, "--most", 5),
                                   .least = option(count, words, "--least", 95)};
    return pairs_study(&options) ? EXIT_SUCCESS : EXIT_FAILURE;
}

int main(int count, char **words) {
    const int serves = (int)option(count, words, "--serves", 3000);
    const uint64_t seed = (uint64_t)option(count, words, "--seed", 20270314);
    const limits within = {option(count, words, "--least", 93), option(count, words, "--most", 97)};
    const fixed set = {.rate = option(count, words, "--rate", 0),
                       .tap_sd = option(count, words, "--taps", 0),
                       .exposure_s = option(count, words, "--exposure", 0),
                       .view = (int)option(count, words, "--view", -1),
                       .large = option(count, words, "--large", 0) > 0,
                       .draws = (size_t)option(count, words, "--draws", 500)};
    if (option(count, words, "--pairs", 0) > 0) return study_pairs(count, words, &set);
    const char *csv = word_of(count, words, "--records");
    study st = {0};
    bool good = serves > 0 && study_run(&st, serves, seed, &set);
    if (good && csv != NULL) good = write_csv(&st, csv);
    if (good) good = tell_all(&st, within);
    if (serves >= MEDIANS_FROM) good = tell_medians(serves / 2, seed) && good;
    study_free(&st);
    return good ? EXIT_SUCCESS : EXIT_FAILURE;
}
