#include "readout/check_words.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "readout/notes.h"
#include "readout/readout.h"

static const struct {
    const char *id, *title;
} STATUSES[] = {
    [SP_CHECK_MET] = {"met", "met"},
    [SP_CHECK_NOT_MET] = {"not_met", "not met"},
    [SP_CHECK_WITHIN_ERROR] = {"within_error", "too close to tell"},
    [SP_CHECK_FOR_THE_EYE] = {"for_the_eye", "for your eye"},
    [SP_CHECK_NOT_FROM_THIS_VIEW] = {"not_from_this_view", "not from this view"},
    [SP_CHECK_TOO_COARSE] = {"too_coarse", "too few frames a second"},
    [SP_CHECK_POINTS_MISSING] = {"points_missing", "points missing"},
};

const char *sp_check_status_id(sp_check_status status) { return STATUSES[status].id; }

const char *sp_check_status_title(sp_check_status status) { return STATUSES[status].title; }

const char *sp_findings_group_title(sp_findings_group group) {
    static const char *const titles[] = {
        [SP_FINDINGS_MEASURING] = "of the measuring itself",
        [SP_FINDINGS_GOOD] = "what is good",
        [SP_FINDINGS_FIRST] = "to work on first",
        [SP_FINDINGS_CAREFUL] = "to be careful of",
        [SP_FINDINGS_LATER] = "later",
        [SP_FINDINGS_CLOSE] = "too close to tell",
        [SP_FINDINGS_EYE] = "for your eye",
        [SP_FINDINGS_UNSEEN] = "not to be seen in this clip",
        [SP_FINDINGS_MISSING] = "points, a moment or the scale missing",
    };
    return titles[group];
}

/* --- measures against their limits ----------------------------------------------------------- */

/* As many digits as a limit needs: whole degrees and centimetres, hundredths of a ratio. */
static void limit_text(const sp_finding_measure *m, double limit, sp_units units, char *text,
                       size_t size) {
    const bool whole = m->measure.kind->unit == SP_UNIT_DEGREE ||
                       m->measure.kind->unit == SP_UNIT_METRE_PER_SECOND;
    const double half = whole ? 2.5 : 0.025;
    const sp_measure of_limit = {.kind = m->measure.kind,
                                 .value = {limit, limit - half, limit + half},
                                 .status = SP_STATUS_OK};
    sp_measure_short_text(&of_limit, units, text, size);
}

static void put_limits(sp_text *text, const sp_finding_measure *m, sp_units units) {
    char low[64], high[64];
    limit_text(m, m->low, units, low, sizeof low);
    limit_text(m, m->high, units, high, sizeof high);
    if (m->has_low && m->has_high)
        sp_text_format(text, "; looked for: %s to %s", low, high);
    else if (m->has_low)
        sp_text_format(text, "; looked for: %s or more", low);
    else if (m->has_high)
        sp_text_format(text, "; looked for: %s or less", high);
}

static void put_title(sp_text *text, const char *title) {
    const char first = (char)toupper((unsigned char)title[0]);
    sp_text_append_bytes(text, &first, 1);
    sp_text_append(text, title + 1);
}

static void space(sp_text *text) {
    if (text->length > 0) sp_text_append(text, " ");
}

static void put_number(sp_text *text, const sp_finding_measure *m, sp_units units) {
    char number[128];
    sp_measure_text(&m->measure, units, number, sizeof number);
    space(text);
    put_title(text, m->measure.kind->title);
    sp_text_format(text, " %s", number);
    if (m->measure.status == SP_STATUS_PROJECTED) sp_text_append(text, " as the camera sees it");
    put_limits(text, m, units);
    sp_text_append(text, ".");
    if (m->status == SP_CHECK_WITHIN_ERROR)
        sp_text_append(text, " The interval straddles the limit: too close to tell.");
}

/* Notes repeat from measure to measure: each is told once. */
static void put_note(sp_text *text, const sp_finding *finding, int index) {
    const char *note = finding->measures[index].measure.note;
    for (int i = 0; i < index; i++)
        if (strcmp(finding->measures[i].measure.note, note) == 0) return;
    space(text);
    sp_text_append(text, note);
}

static void put_measures(sp_text *text, const sp_finding *finding, sp_units units) {
    for (int i = 0; i < finding->measure_count; i++) {
        if (sp_measure_has_number(&finding->measures[i].measure))
            put_number(text, &finding->measures[i], units);
        else if (!finding->by_eye)
            put_note(text, finding, i);
    }
}

/* --- says ------------------------------------------------------------------------------------ */
static void put_judgement(sp_text *text, const sp_finding *finding, const sp_judgement *judgement) {
    static const char *const words[] = {
        [SP_VERDICT_UNSURE] = "unsure", [SP_VERDICT_MET] = "met", [SP_VERDICT_NOT_MET] = "not met"};
    const bool unsure = judgement->verdict == SP_VERDICT_UNSURE;
    if (!finding->by_eye && !(unsure && finding->status == SP_CHECK_FOR_THE_EYE)) return;
    space(text);
    sp_text_format(text, "By the coach's eye: %s", words[judgement->verdict]);
    if (judgement->frame >= 0) sp_text_format(text, ", on frame %d", judgement->frame);
    sp_text_append(text, ".");
    if (judgement->text != NULL) sp_text_format(text, " %s", judgement->text);
}

void sp_finding_put_says(sp_text *text, const sp_finding *finding, const sp_review *review,
                         sp_units units) {
    const sp_judgement *judgement = sp_review_judgement_find(review, finding->check->id);
    if (finding->status == SP_CHECK_NOT_FROM_THIS_VIEW && finding->measure_count == 0) {
        char wanted[80];
        sp_seen_from_any(finding->check->views, wanted, sizeof wanted);
        sp_text_format(text, "A clip filmed %s cannot show it: ask for one filmed %s.",
                       sp_seen_from(sp_review_get_view(review)), wanted);
        return;
    }
    put_measures(text, finding, units);
    if (judgement != NULL) put_judgement(text, finding, judgement);
    if (finding->status == SP_CHECK_FOR_THE_EYE && judgement == NULL)
        sp_text_append(text, "No measure tells this: look, and say met, not met or unsure.");
}

/* --- published ------------------------------------------------------------------------------- */
static const char *sign_of(sp_unit unit) {
    static const char *const signs[] = {[SP_UNIT_DEGREE] = "°",
                                        [SP_UNIT_METRE] = " m",
                                        [SP_UNIT_SECOND] = " s",
                                        [SP_UNIT_METRE_PER_SECOND] = " m/s",
                                        [SP_UNIT_RATIO] = ""};
    return signs[unit];
}

static void put_here(sp_text *text, const sp_check_published *value, sp_units units) {
    const bool imperial = units == SP_UNITS_IMPERIAL;
    if (value->unit == SP_UNIT_METRE_PER_SECOND)
        sp_text_format(text, " (%.0f %s)", value->value * (imperial ? 1 / 0.44704 : 3.6),
                       imperial ? "mph" : "km/h");
    if (value->unit == SP_UNIT_METRE && imperial)
        sp_text_format(text, " (%.1f ft)", value->value / 0.3048);
    if (value->from != 0)
        sp_text_format(text, ", that is %g%s here", value->from - value->value,
                       sign_of(value->unit));
}

static void put_value(sp_text *text, const sp_check_published *value, sp_units units) {
    sp_text_format(text, "%s %g", value->name, value->value);
    if (value->sd > 0) sp_text_format(text, " ± %g", value->sd);
    sp_text_append(text, sign_of(value->unit));
    put_here(text, value, units);
}

void sp_finding_put_published(sp_text *text, const sp_check *check, sp_units units) {
    for (int i = 0; i < check->published_count; i++) {
        const sp_check_published *value = &check->published[i];
        space(text);
        sp_text_format(text, "Among tournament players (%s): ", value->among);
        put_value(text, value, units);
        sp_text_format(text, " [%s].", value->source);
    }
    if (check->published_count > 0)
        sp_text_append(text, " A laboratory's mean is no norm for everyone.");
}
