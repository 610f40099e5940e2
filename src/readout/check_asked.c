/* What was asked last time comes back as a question. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "readout/check_advice.h"
#include "readout/check_findings.h"

/* The stamp of what was seen begins with the status that it had. */
static bool was_asked(const sp_finding_entry *entry) {
    const char *status = sp_check_status_id(SP_CHECK_NOT_MET);
    const size_t length = strlen(status);
    return strncmp(entry->seen, status, length) == 0 && entry->seen[length] == '-';
}

/* Where the coach gave no order, that of the weights. */
static int compare_order(const sp_review *review, const sp_check *one, const sp_check *other) {
    const double a = sp_review_finding_find(review, one->id)->order,
                 b = sp_review_finding_find(review, other->id)->order;
    if (a > 0 && b > 0) return (a > b) - (a < b);
    return (one->weight < other->weight) - (one->weight > other->weight);
}

size_t sp_checks_asked(const sp_checks *checks, const sp_review *review, const sp_check **list,
                       size_t room) {
    size_t count = 0, kept = 0;
    for (size_t i = 0; i < checks->count; i++) {
        const sp_check *check = &checks->items[i];
        const sp_finding_entry *entry = sp_review_finding_find(review, check->id);
        if (entry == NULL || check->of_measuring || !was_asked(entry)) continue;
        count++;
        if (kept == room) continue;
        size_t at = kept++;
        for (; at > 0 && compare_order(review, list[at - 1], check) > 0; at--)
            list[at] = list[at - 1];
        list[at] = check;
    }
    return count;
}

const char *sp_asked_answer(sp_check_status now) {
    switch (now) {
    case SP_CHECK_MET: return "met";
    case SP_CHECK_NOT_MET: return "not met yet";
    case SP_CHECK_WITHIN_ERROR: return "within error";
    case SP_CHECK_FOR_THE_EYE:
    case SP_CHECK_NOT_FROM_THIS_VIEW:
    case SP_CHECK_TOO_COARSE:
    case SP_CHECK_POINTS_MISSING: break;
    }
    return "not seen";
}

static sp_kept_asked *find(sp_findings *findings, const sp_finding *finding) {
    for (size_t i = 0; i < findings->asked_count; i++)
        if (findings->asked[i].finding == finding) return &findings->asked[i];
    return NULL;
}

static char *words_of(const sp_finding *finding, const char *day) {
    sp_text text = {0};
    sp_text_append(&text, "Asked");
    if (day[0] != '\0') sp_text_format(&text, " on %s", day);
    sp_text_format(&text, ": %s. Now: %s.", finding->check->title,
                   sp_asked_answer(finding->status));
    if (finding->says[0] != '\0') sp_text_format(&text, " %s", finding->says);
    return sp_text_detach(&text);
}

static bool add(sp_findings *findings, const sp_finding *finding, const char *day) {
    sp_kept_asked *asked = find(findings, finding);
    if (asked != NULL && strcmp(asked->day, day) >= 0) return true;
    if (asked == NULL && findings->asked_count == SP_ASKED_MAX) return true;
    char *words = words_of(finding, day);
    if (words == NULL) return false;
    if (asked == NULL) asked = &findings->asked[findings->asked_count++];
    free(asked->words);
    *asked = (sp_kept_asked){.finding = finding, .words = words};
    sp_text_copy(asked->day, sizeof asked->day, day);
    return true;
}

/* Whoever reads that a deeper drop was asked for reads the caution, too. */
static bool add_drop_caution(sp_findings *findings) {
    sp_text text = {0};
    sp_put_drop_caution(&text, findings->shoulder, &findings->checks->cautions);
    bool there = false;
    for (size_t i = 0; i < findings->caution_count; i++)
        there = there || strcmp(findings->cautions[i], sp_text_get(&text)) == 0;
    const bool good =
        !text.failed && (there || sp_findings_add_caution(findings, sp_text_get(&text)));
    sp_text_clear(&text);
    return good;
}

bool sp_findings_ask(sp_findings *findings, const sp_review *earlier, sp_error *error) {
    const sp_check *asked[SP_ASKED_MAX];
    const char *day = sp_review_get_reviewed(earlier);
    size_t count = sp_checks_asked(findings->checks, earlier, asked, SP_ASKED_MAX);
    bool good = true;
    for (size_t i = 0; good && i < count && i < SP_ASKED_MAX; i++) {
        good = add(findings, sp_findings_find(findings, asked[i]->id), day);
        if (good && sp_check_loads_shoulder(asked[i])) good = add_drop_caution(findings);
    }
    return good || sp_fail(error, SP_ERROR_MEMORY, "no memory for what was asked last time");
}

size_t sp_findings_asked_count(const sp_findings *findings) { return findings->asked_count; }

sp_asked sp_findings_asked_at(const sp_findings *findings, size_t index) {
    const sp_kept_asked *asked = &findings->asked[index];
    return (sp_asked){.finding = asked->finding, .day = asked->day, .words = asked->words};
}
