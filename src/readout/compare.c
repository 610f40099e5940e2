#include "serveplumb/compare.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "readout/compare.h"
#include "readout/readout.h"
#include "serveplumb/statistics.h"

/* Chance of any false 'changed' among all measures compared. */
static const double FALSE_ALARM = 0.05;

/* --- what can be compared -------------------------------------------------------------------- */
static bool has_number(const sp_day_value *value) { return value->serves > 0; }

static sp_view view_of(const sp_day *day) { return sp_review_get_view(day->serves[0].review); }

static sp_hand hand_of(const sp_day *day) {
    return sp_review_get_player(day->serves[0].review)->hand;
}

/* What is measured whole (heights, times) is the same from every view that shows it. */
static bool is_whole(const sp_change *change) {
    return change->before.status == SP_STATUS_OK && change->after.status == SP_STATUS_OK;
}

/* A point off the plane is shown to one side of its place by the one camera, to the other by the
 * other. */
static bool is_opposite(const sp_day *before, const sp_day *after) {
    return view_of(before) != view_of(after) || sp_review_get_net(before->serves[0].review) !=
                                                    sp_review_get_net(after->serves[0].review);
}

static sp_apart apart_of(const sp_change *change, const sp_day *before, const sp_day *after,
                         size_t index) {
    if (hand_of(before) != hand_of(after)) return SP_APART_HAND;
    const bool other_view = view_of(before) != view_of(after);
    if (!has_number(&change->before) || !has_number(&change->after))
        return other_view && (change->before.status == SP_STATUS_NOT_FROM_THIS_VIEW ||
                              change->after.status == SP_STATUS_NOT_FROM_THIS_VIEW)
                   ? SP_APART_VIEW
                   : SP_APART_NO_NUMBER;
    if (is_opposite(before, after) && !is_whole(change)) return SP_APART_VIEW;
    if (!change->kind->needs_scale) return SP_COMPARABLE;
    sp_scale_method one = SP_SCALE_LINE, other = SP_SCALE_LINE;
    const bool known =
        sp_day_scale_method(before, index, &one) && sp_day_scale_method(after, index, &other);
    return known && one == other ? SP_COMPARABLE : SP_APART_SCALE;
}

/* --- its error ------------------------------------------------------------------------------- */

/* What stands on assumptions (depths, cameras set up by eye) is itself known to a quarter: 8
 * degrees of freedom (JCGM 100:2008, G.4.2), which the tails need where many measures are compared.
 */
static const double ASSUMED_DF = 8;

/* Of the two days, each on its own; added up whole where they may err opposite ways. */
static void put_measuring(const sp_change *change, bool opposite, double variances[2]) {
    const double one = change->before.measuring, other = change->after.measuring;
    variances[0] = opposite ? (one + other) * (one + other) : one * one;
    variances[1] = opposite ? 0 : other * other;
}

static bool knows_scatter(const sp_day_value *value) {
    return value->serves >= SP_SERVES_FOR_SCATTER;
}

/* The variances of the two means from serve to serve with their degrees of freedom; a day of few
 * borrows the other's. Returns how many. */
static size_t scatter_of(const sp_change *change, double variances[2], double dfs[2]) {
    const sp_day_value *days[] = {&change->before, &change->after};
    size_t count = 0;
    for (size_t i = 0; i < 2; i++) {
        if (!knows_scatter(days[i])) continue;
        const bool lends = !knows_scatter(days[1 - i]);
        const double means =
            1.0 / (double)days[i]->serves + (lends ? 1.0 / (double)days[1 - i]->serves : 0.0);
        variances[count] = days[i]->scatter_sd * days[i]->scatter_sd * means;
        dfs[count++] = (double)days[i]->serves - 1;
    }
    return count;
}

static sp_change_error error_of(const sp_change *change, const sp_day *before, const sp_day *after,
                                size_t index, bool same_camera) {
    sp_change_error error = {.opposite = is_opposite(before, after)};
    if (!same_camera)
        error.view_sd =
            sp_view_share(before, after) *
            sp_view_sd(index, (change->before.value.value + change->after.value.value) / 2);
    double variances[5] = {0, 0, error.view_sd * error.view_sd};
    double dfs[5] = {ASSUMED_DF, ASSUMED_DF, ASSUMED_DF};
    put_measuring(change, error.opposite, variances);
    const size_t scatters = scatter_of(change, variances + 3, dfs + 3);
    error.of_serves = scatters == 0;
    error.df = sp_effective_df(variances, dfs, 3 + scatters);
    double scatter = 0;
    for (size_t i = 0; i < scatters; i++) scatter += variances[3 + i];
    error.scatter_sd = sqrt(scatter);
    error.sd = sqrt(variances[0] + variances[1] + variances[2] + scatter);
    return error;
}

/* --- its verdict ----------------------------------------------------------------------------- */
static void compare(sp_change *change, const sp_day *before, const sp_day *after, size_t index,
                    bool same_camera, sp_change_error *error) {
    *change = (sp_change){.kind = sp_catalogue_at(index),
                          .before = sp_day_value_of(before, index),
                          .after = sp_day_value_of(after, index),
                          .difference = {NAN, NAN, NAN},
                          .detectable = NAN,
                          .detectable_alone = NAN,
                          .p = NAN,
                          .verdict = SP_CHANGE_NOT_COMPARABLE};
    change->apart = apart_of(change, before, after, index);
    if (change->apart != SP_COMPARABLE) return;
    *error = error_of(change, before, after, index, same_camera);
    change->of_serves = error->of_serves;
    const double difference = change->after.value.value - change->before.value.value;
    change->detectable_alone = sp_t_quantile(1 - FALSE_ALARM / 2, error->df) * error->sd;
    change->difference = (sp_interval){difference, difference - change->detectable_alone,
                                       difference + change->detectable_alone};
    /* Without any error, which taps never are, every difference is one. */
    change->p = error->sd > 0     ? sp_t_two_sided(difference / error->sd, error->df)
                : difference == 0 ? 1
                                  : 0;
}

/* The step of Holm at which all measures still stand is the hardest: what passes it passes. */
static void judge(sp_comparison *comparison, const sp_change_error *errors, double *p,
                  double *adjusted) {
    size_t n = 0;
    for (size_t i = 0; i < comparison->count; i++)
        if (comparison->changes[i].apart == SP_COMPARABLE) p[n++] = comparison->changes[i].p;
    comparison->compared = n;
    sp_holm_adjust(p, n, adjusted);
    n = 0;
    for (size_t i = 0; i < comparison->count; i++) {
        sp_change *change = &comparison->changes[i];
        if (change->apart != SP_COMPARABLE) continue;
        change->p = adjusted[n++];
        change->verdict = change->p <= FALSE_ALARM ? SP_CHANGE_CHANGED : SP_CHANGE_WITHIN_ERROR;
        change->detectable =
            errors[i].sd *
            sp_t_quantile(1 - FALSE_ALARM / 2 / (double)comparison->compared, errors[i].df);
    }
}

/* --- in and out ------------------------------------------------------------------------------ */
static bool is_asked(const sp_compare_options *options, const sp_measure_kind *kind) {
    if (options == NULL || options->ids == NULL) return true;
    for (size_t i = 0; i < options->id_count; i++)
        if (strcmp(options->ids[i], kind->id) == 0) return true;
    return false;
}

static bool ids_known(const sp_compare_options *options, sp_error *error) {
    for (size_t i = 0; options != NULL && options->ids != NULL && i < options->id_count; i++) {
        size_t k = 0;
        while (k < sp_catalogue_count() && strcmp(sp_catalogue_at(k)->id, options->ids[i]) != 0)
            k++;
        if (k == sp_catalogue_count())
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "there is no measure '%s'; 'measure --csv' lists their ids",
                           options->ids[i]);
    }
    return true;
}

static bool is_whole_day(const sp_day *day, sp_error *error) {
    if (day->count == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT, "'%s' holds no serve to compare", day->name);
    for (size_t i = 1; i < day->count; i++) {
        if (sp_review_get_view(day->serves[i].review) != view_of(day))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "the serves of '%s' are seen from the %s and from the %s; compare those "
                           "of one view at a time",
                           day->name, sp_view_id(view_of(day)),
                           sp_view_id(sp_review_get_view(day->serves[i].review)));
        if (sp_review_get_player(day->serves[i].review)->hand != hand_of(day))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "the serves of '%s' are by a right-hander and by a left-hander; compare "
                           "those of one player",
                           day->name);
    }
    return true;
}

static bool fill(sp_comparison *comparison, const sp_day *before, const sp_day *after,
                 const sp_compare_options *options) {
    const size_t most = sp_catalogue_count();
    comparison->same_camera =
        options != NULL && options->same_camera && !sp_cameras_moved(before, after);
    sp_change_error *errors = calloc(most, sizeof *errors);
    double *p = calloc(2 * most, sizeof *p);
    comparison->changes = calloc(most, sizeof *comparison->changes);
    const bool room = errors != NULL && p != NULL && comparison->changes != NULL;
    for (size_t i = 0; room && i < most; i++) {
        if (!is_asked(options, sp_catalogue_at(i))) continue;
        const size_t n = comparison->count++;
        compare(&comparison->changes[n], before, after, i, comparison->same_camera, &errors[n]);
    }
    if (room) judge(comparison, errors, p, p + most);
    for (size_t i = 0; room && i < comparison->count; i++)
        sp_change_say(&comparison->changes[i], &errors[i], before, after, comparison->compared,
                      options == NULL ? SP_UNITS_METRIC : options->units);
    free(p);
    free(errors);
    return room;
}

sp_comparison *sp_comparison_new(const sp_day *before, const sp_day *after,
                                 const sp_compare_options *options, sp_error *error) {
    if (!is_whole_day(before, error) || !is_whole_day(after, error) || !ids_known(options, error))
        return NULL;
    sp_comparison *comparison = calloc(1, sizeof *comparison);
    if (comparison == NULL || !fill(comparison, before, after, options)) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory left for the comparison; close other programs");
        sp_comparison_free(comparison);
        return NULL;
    }
    sp_comparison_warn(comparison, before, after, options != NULL && options->same_camera);
    return comparison;
}

void sp_comparison_free(sp_comparison *comparison) {
    if (comparison == NULL) return;
    free(comparison->changes);
    free(comparison);
}

size_t sp_comparison_count(const sp_comparison *comparison) { return comparison->count; }

const sp_change *sp_comparison_at(const sp_comparison *comparison, size_t index) {
    assert(index < comparison->count);
    return &comparison->changes[index];
}

const sp_change *sp_comparison_find(const sp_comparison *comparison, const char *id,
                                    const char *moment) {
    for (size_t i = 0; i < comparison->count; i++) {
        const sp_measure_kind *kind = comparison->changes[i].kind;
        if (strcmp(kind->id, id) == 0 && (moment == NULL || strcmp(kind->moment, moment) == 0))
            return &comparison->changes[i];
    }
    return NULL;
}

size_t sp_comparison_compared(const sp_comparison *comparison) { return comparison->compared; }

size_t sp_comparison_caution_count(const sp_comparison *comparison) {
    return comparison->caution_count;
}

const char *sp_comparison_caution_at(const sp_comparison *comparison, size_t index) {
    assert(index < comparison->caution_count);
    return comparison->cautions[index];
}
