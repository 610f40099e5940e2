/* `compare --json`: for programs. SI units and degrees. */
#include "base/text.h"
#include "readout/compare.h"
#include "review/json.h"

static void put_interval(sp_text *text, sp_interval interval) {
    sp_json_number_or_null(text, "value", interval.value);
    sp_json_number_or_null(text, "low", interval.low);
    sp_json_number_or_null(text, "high", interval.high);
}

static void put_value(sp_text *text, const char *member, const sp_day_value *value) {
    sp_json_open(text, member, '{');
    put_interval(text, value->value);
    sp_json_number(text, "serves", (double)value->serves);
    sp_json_number_or_null(text, "measuring_sd", value->measuring);
    sp_json_number_or_null(text, "scatter_sd", value->scatter_sd);
    sp_json_string(text, "status", sp_status_id(value->status));
    sp_json_close(text, '}');
}

static void put_change(sp_text *text, const sp_change *change) {
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "id", change->kind->id);
    sp_json_string(text, "moment", change->kind->moment);
    sp_json_string(text, "unit", sp_unit_id(change->kind->unit));
    put_value(text, "before", &change->before);
    put_value(text, "after", &change->after);
    sp_json_open(text, "difference", '{');
    put_interval(text, change->difference);
    sp_json_close(text, '}');
    sp_json_number_or_null(text, "detectable", change->detectable);
    sp_json_number_or_null(text, "detectable_alone", change->detectable_alone);
    sp_json_number_or_null(text, "p_holm", change->p);
    sp_json_string(text, "verdict", sp_change_verdict_id(change->verdict));
    sp_json_string(text, "reason", sp_apart_id(change->apart));
    if (change->apart == SP_COMPARABLE)
        sp_json_string(text, "of", change->of_serves ? "these_serves" : "player");
    sp_json_string(text, "words", change->words);
    sp_json_close(text, '}');
}

static void put_day(sp_text *text, const char *member, const sp_day *day) {
    const sp_review *review = day->serves[0].review;
    sp_json_open(text, member, '{');
    sp_json_string(text, "name", day->name);
    sp_json_string(text, "view", sp_view_id(sp_review_get_view(review)));
    sp_json_string(text, "hand", sp_hand_id(sp_review_get_player(review)->hand));
    sp_json_number(text, "serves", (double)day->count);
    sp_json_close(text, '}');
}

static void put_comparison(sp_text *text, const sp_comparison *comparison, const sp_day *before,
                           const sp_day *after) {
    sp_json_open(text, NULL, '{');
    put_day(text, "before", before);
    put_day(text, "after", after);
    sp_json_raw(text, "same_camera", comparison->same_camera ? "true" : "false");
    sp_json_number(text, "compared", (double)comparison->compared);
    sp_json_open(text, "changes", '[');
    for (size_t i = 0; i < comparison->count; i++) put_change(text, &comparison->changes[i]);
    sp_json_close(text, ']');
    sp_json_open(text, "cautions", '[');
    for (size_t i = 0; i < comparison->caution_count; i++)
        sp_json_string(text, NULL, comparison->cautions[i]);
    sp_json_close(text, ']');
    sp_json_close(text, '}');
}

char *sp_comparison_detach_json(const sp_comparison *comparison, const sp_day *before,
                                const sp_day *after, sp_error *error) {
    sp_text compact = {0};
    put_comparison(&compact, comparison, before, after);
    return sp_json_detach_laid(&compact, "the comparison's text", error);
}
