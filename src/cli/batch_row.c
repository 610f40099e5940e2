/* A review as one line: what a data frame wants. SI units and degrees. */
#include <math.h>
#include <string.h>

#include "cli/batch.h"

static const char *method_id(const sp_review *review, const char *scale) {
    static const char *const ids[] = {"line", "court", "toss"};
    const sp_scale_entry *entry = sp_review_scale_find(review, scale);
    return entry == NULL ? "" : ids[entry->method];
}

void cli_csv_text(sp_text *text, const char *field) {
    sp_text_append(text, "\"");
    for (; *field != '\0'; field++) {
        if (*field == '"') sp_text_append(text, "\"");
        sp_text_append_bytes(text, field, 1);
    }
    sp_text_append(text, "\"");
}

/* "elbow_angle_drop" and its low, high and status. */
static void put_heads_of(sp_text *text, const sp_measure_kind *kind) {
    static const char *const parts[] = {"", "_low", "_high", "_status"};
    for (int i = 0; i < 4; i++)
        sp_text_format(text, ",%s%s%s%s", kind->id, kind->moment[0] == '\0' ? "" : "_",
                       kind->moment, parts[i]);
}

void cli_row_heads(sp_text *text) {
    sp_text_append(text,
                   "review,player,reviewed,view,hand,scale,scale_method,m_per_px,m_per_px_low,"
                   "m_per_px_high");
    for (size_t i = 0; i < sp_catalogue_count(); i++) put_heads_of(text, sp_catalogue_at(i));
    sp_text_append(text, "\n");
}

/* Empty where there is none. */
static void put_interval(sp_text *text, sp_interval interval) {
    const double numbers[] = {interval.value, interval.low, interval.high};
    for (int i = 0; i < 3; i++) {
        sp_text_append(text, ",");
        if (isfinite(numbers[i])) sp_text_format(text, "%.9g", numbers[i]);
    }
}

void cli_row(sp_text *text, const char *path, const sp_review *review, const sp_readout *readout) {
    const sp_player *player = sp_review_get_player(review);
    const sp_scale_reading scale = sp_readout_scale(readout);
    cli_csv_text(text, path);
    sp_text_append(text, ",");
    cli_csv_text(text, player->name);
    sp_text_format(text, ",%s,%s,%s,", sp_review_get_reviewed(review),
                   sp_view_id(sp_review_get_view(review)), sp_hand_id(player->hand));
    cli_csv_text(text, scale.id);
    sp_text_format(text, ",%s", method_id(review, scale.id));
    put_interval(text, scale.m_per_px);
    for (size_t i = 0; i < sp_readout_count(readout); i++) {
        const sp_measure *measure = sp_readout_at(readout, i);
        put_interval(text, measure->value);
        sp_text_format(text, ",%s", sp_status_id(measure->status));
    }
    sp_text_append(text, "\n");
}
