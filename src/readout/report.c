/* `measure --json`: for programs. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "readout/readout.h"
#include "review/json.h"

static void put_interval(sp_text *text, const char *member, sp_interval interval) {
    sp_json_number_or_null(text, member, interval.value);
    sp_json_number_or_null(text, "low", interval.low);
    sp_json_number_or_null(text, "high", interval.high);
}

/* The pair of the scale in use with another, whichever is preferred. */
static const sp_scale_pair *pair_with(const sp_readout *readout, size_t used, size_t other) {
    for (size_t i = 0; i < readout->pair_count; i++) {
        const sp_scale_pair *pair = &readout->pairs[i];
        if ((pair->one == used && pair->other == other) ||
            (pair->one == other && pair->other == used))
            return pair;
    }
    return NULL;
}

/* The other scales of the review against the one in use. */
static void put_agreement(sp_text *text, const sp_readout *readout) {
    size_t used = 0;
    while (strcmp(readout->findings[used].id, readout->scale.id) != 0) used++;
    const double m_per_px = readout->findings[used].m_per_px.value;
    for (size_t i = 0; i < readout->finding_count; i++) {
        const sp_scale_finding *finding = &readout->findings[i];
        if (i == used) continue;
        const sp_scale_pair *pair = pair_with(readout, used, i);
        sp_json_open(text, NULL, '{');
        sp_json_string(text, "id", finding->id);
        sp_json_number_or_null(text, "m_per_px", finding->m_per_px.value);
        sp_json_number_or_null(text, "differs_percent",
                               100 * (finding->m_per_px.value / m_per_px - 1));
        sp_json_string(text, "prefer",
                       pair == NULL ? readout->scale.id : readout->findings[pair->one].id);
        sp_json_string(text, "words", pair == NULL ? finding->words : pair->words);
        sp_json_close(text, '}');
    }
}

static void put_scale(sp_text *text, const sp_readout *readout) {
    if (readout->scale.id[0] == '\0') {
        sp_json_raw(text, "scale", "null");
        return;
    }
    sp_json_open(text, "scale", '{');
    sp_json_string(text, "id", readout->scale.id);
    put_interval(text, "m_per_px", readout->scale.m_per_px);
    sp_json_open(text, "agree", '[');
    put_agreement(text, readout);
    sp_json_close(text, ']');
    sp_json_close(text, '}');
}

static void put_measure(sp_text *text, const sp_measure *measure) {
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "id", measure->kind->id);
    sp_json_string(text, "moment", measure->kind->moment);
    sp_json_number_or_null(text, "frame",
                           measure->frame < 0 ? (double)NAN : (double)measure->frame);
    put_interval(text, "value", measure->value);
    sp_json_string(text, "unit", sp_unit_id(measure->kind->unit));
    sp_json_string(text, "status", sp_status_id(measure->status));
    sp_json_string(text, "note", measure->note);
    sp_json_close(text, '}');
}

static void put_readout(sp_text *text, const sp_readout *readout, const sp_review *review,
                        const char *review_name) {
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "review", review_name);
    sp_json_string(text, "view", sp_view_id(sp_review_get_view(review)));
    put_scale(text, readout);
    sp_json_open(text, "measures", '[');
    for (size_t i = 0; i < readout->count; i++) put_measure(text, &readout->measures[i]);
    sp_json_close(text, ']');
    sp_json_open(text, "cautions", '[');
    for (size_t i = 0; i < readout->caution_count; i++)
        sp_json_string(text, NULL, readout->cautions[i]);
    sp_json_close(text, ']');
    sp_json_close(text, '}');
}

char *sp_readout_detach_json(const sp_readout *readout, const sp_review *review,
                             const char *review_name, sp_error *error) {
    sp_text compact = {0};
    put_readout(&compact, readout, review, review_name);
    return sp_json_detach_laid(&compact, "the readout's text", error);
}
