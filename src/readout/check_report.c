/* `check --json`: for programs. */
#include <math.h>

#include "base/text.h"
#include "readout/check_findings.h"
#include "review/json.h"

static void put_number(sp_text *text, const char *member, bool has, double value) {
    sp_json_number_or_null(text, member, has ? value : (double)NAN);
}

static void put_truth(sp_text *text, const char *member, bool value) {
    sp_json_raw(text, member, value ? "true" : "false");
}

static void put_measure(sp_text *text, const sp_finding_measure *m) {
    const sp_measure *measure = &m->measure;
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "id", measure->kind->id);
    sp_json_string(text, "moment", measure->kind->moment);
    put_number(text, "value", true, measure->value.value);
    put_number(text, "low", true, measure->value.low);
    put_number(text, "high", true, measure->value.high);
    sp_json_string(text, "unit", sp_unit_id(measure->kind->unit));
    sp_json_string(text, "status", sp_status_id(measure->status));
    put_number(text, "at_least", m->has_low, m->low);
    put_number(text, "at_most", m->has_high, m->high);
    sp_json_string(text, "note", measure->note);
    sp_json_close(text, '}');
}

static void put_points(sp_text *text, const sp_check *check, sp_hand hand) {
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = sp_check_points(check, hand, points);
    sp_json_open(text, "points", '[');
    for (size_t i = 0; i < count; i++) sp_json_string(text, NULL, sp_point_id(points[i]));
    sp_json_close(text, ']');
}

static void put_finding(sp_text *text, const sp_finding *finding, sp_hand hand) {
    static const char *const groups[] = {"measuring", "good", "first",  "careful", "later",
                                         "close",     "eye",  "unseen", "missing"};
    const sp_check *check = finding->check;
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "id", check->id);
    sp_json_string(text, "title", check->title);
    sp_json_string(text, "moment", check->moment);
    put_number(text, "frame", finding->frame >= 0, finding->frame);
    sp_json_string(text, "status", sp_check_status_id(finding->status));
    sp_json_string(text, "group", groups[finding->group]);
    put_truth(text, "by_eye", finding->by_eye);
    sp_json_open(text, "measures", '[');
    for (int i = 0; i < finding->measure_count; i++) put_measure(text, &finding->measures[i]);
    sp_json_close(text, ']');
    put_points(text, check, hand);
    sp_json_string(text, "looked_for", check->looked_for);
    sp_json_string(text, "says", finding->says);
    sp_json_string(text, "published", finding->published);
    sp_json_string(text, "advice", finding->advice);
    put_truth(text, "held_back", finding->held_back);
    sp_json_string(text, "source", check->source);
    sp_json_number(text, "weight", check->weight);
    put_number(text, "place", finding->place > 0, finding->place);
    sp_json_string(text, "place_why", finding->place_why);
    put_truth(text, "own_words", finding->own_words);
    put_truth(text, "seen", finding->seen);
    sp_json_close(text, '}');
}

static void put_next_clip(sp_text *text, const sp_findings *findings) {
    if (findings->next_clip[0] == '\0') {
        sp_json_raw(text, "next_clip", "null");
        return;
    }
    sp_json_open(text, "next_clip", '{');
    sp_json_string(text, "view", sp_view_id(findings->next_view));
    sp_json_string(text, "text", findings->next_clip);
    sp_json_close(text, '}');
}

static void put_asked(sp_text *text, const sp_findings *findings) {
    sp_json_open(text, "asked", '[');
    for (size_t i = 0; i < findings->asked_count; i++) {
        const sp_kept_asked *asked = &findings->asked[i];
        sp_json_open(text, NULL, '{');
        sp_json_string(text, "id", asked->finding->check->id);
        sp_json_string(text, "title", asked->finding->check->title);
        sp_json_string(text, "asked_on", asked->day);
        sp_json_string(text, "now", sp_check_status_id(asked->finding->status));
        sp_json_string(text, "words", asked->words);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
}

static void put_findings(sp_text *text, const sp_findings *findings, const sp_review *review,
                         const char *review_name) {
    const sp_hand hand = sp_review_get_player(review)->hand;
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "review", review_name);
    sp_json_string(text, "view", sp_view_id(sp_review_get_view(review)));
    sp_json_open(text, "findings", '[');
    for (size_t i = 0; i < findings->count; i++)
        put_finding(text, sp_findings_at(findings, i), hand);
    sp_json_close(text, ']');
    put_asked(text, findings);
    put_next_clip(text, findings);
    sp_json_open(text, "cautions", '[');
    for (size_t i = 0; i < findings->caution_count; i++)
        sp_json_string(text, NULL, findings->cautions[i]);
    sp_json_close(text, ']');
    sp_json_close(text, '}');
}

char *sp_findings_detach_json(const sp_findings *findings, const sp_review *review,
                              const char *review_name, sp_error *error) {
    sp_text compact = {0};
    put_findings(&compact, findings, review, review_name);
    return sp_json_detach_laid(&compact, "the findings' text", error);
}
