/* A measure over the serves of a day. */
#include <math.h>
#include <string.h>

#include "readout/compare.h"
#include "readout/readout.h"
#include "serveplumb/statistics.h"

/* The 97.5 % point of the normal distribution: an interval of 95 % in standard uncertainties. */
static const double REACH = 1.959964;

/* By the longer side: an interval that the picture bends to one side is not made shorter. */
static double measuring_of(sp_interval value) {
    return fmax(value.high - value.value, value.value - value.low) / REACH;
}

typedef struct {
    size_t count;
    double mean, squares, measuring;
} tally;

/* Welford's running mean and squares. */
static void take(tally *t, sp_interval value) {
    const double off = value.value - t->mean;
    t->count++;
    t->mean += off / (double)t->count;
    t->squares += off * (value.value - t->mean);
    t->measuring += measuring_of(value);
}

static sp_interval interval_of(double mean, double measuring, double scatter_sd, size_t serves) {
    double variances[] = {measuring * measuring, 0}, dfs[] = {INFINITY, 1};
    if (serves >= SP_SERVES_FOR_SCATTER) {
        variances[1] = scatter_sd * scatter_sd / (double)serves;
        dfs[1] = (double)serves - 1;
    }
    const double half = sp_t_quantile(0.975, sp_effective_df(variances, dfs, 2)) *
                        sqrt(variances[0] + variances[1]);
    return (sp_interval){mean, mean - half, mean + half};
}

sp_day_value sp_day_value_of(const sp_day *day, size_t index) {
    tally t = {0, 0, 0, 0};
    sp_day_value value = {.value = {NAN, NAN, NAN}, .scatter_sd = NAN, .measuring = NAN};
    const sp_measure *first = sp_readout_at(day->serves[0].readout, index);
    value.status = first->status;
    value.note = first->note;
    for (size_t i = 0; i < day->count; i++) {
        const sp_measure *measure = sp_readout_at(day->serves[i].readout, index);
        if (!sp_measure_has_number(measure)) continue;
        if (t.count == 0) {
            value.status = measure->status;
            value.note = measure->note;
        }
        take(&t, measure->value);
    }
    value.serves = t.count;
    if (t.count == 0) return value;
    value.measuring = t.measuring / (double)t.count;
    if (t.count >= SP_SERVES_FOR_SCATTER)
        value.scatter_sd = sqrt(t.squares / (double)(t.count - 1));
    value.value = interval_of(t.mean, value.measuring, value.scatter_sd, t.count);
    return value;
}

sp_measure sp_day_value_measure(const sp_day_value *value, size_t index) {
    return (sp_measure){.kind = sp_catalogue_at(index),
                        .frame = -1,
                        .value = value->value,
                        .status = value->status};
}

bool sp_day_scale_method(const sp_day *day, size_t index, sp_scale_method *method) {
    bool found = false;
    for (size_t i = 0; i < day->count; i++) {
        const sp_serve *serve = &day->serves[i];
        if (!sp_measure_has_number(sp_readout_at(serve->readout, index))) continue;
        const sp_scale_reading scale = sp_readout_scale(serve->readout);
        const sp_scale_entry *entry = sp_review_scale_find(serve->review, scale.id);
        if (entry == NULL) continue;
        if (found && entry->method != *method) return false;
        *method = entry->method;
        found = true;
    }
    return found;
}
