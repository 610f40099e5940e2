/* Findings: every check decided, put into words, ranked and sorted. */
#include "readout/check_findings.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "readout/check_advice.h"
#include "readout/check_rank.h"
#include "readout/check_verdict.h"
#include "readout/check_words.h"

/* What is under way while findings are made. */
typedef struct {
    const sp_checks *checks;
    const sp_review *review;
    const sp_readout *readout;
    sp_units units;
    sp_shoulder shoulder;
} work;

static char *empty_text(void) { return calloc(1, 1); }

/* A text is never NULL but for want of memory. */
static char *detach(sp_text *text) {
    if (!text->failed && text->length == 0) return empty_text();
    return sp_text_detach(text);
}

/* --- one finding ----------------------------------------------------------------------------- */
static char *says(const work *w, const sp_finding *finding, sp_units units) {
    sp_text text = {0};
    sp_finding_put_says(&text, finding, w->review, units);
    return detach(&text);
}

static char *advice(const work *w, const sp_finding *finding, const char *own) {
    sp_text text = {0};
    sp_finding_put_advice(&text, finding, own, w->shoulder, &w->checks->cautions);
    return detach(&text);
}

static char *published(const work *w, const sp_finding *finding) {
    sp_text text = {0};
    sp_finding_put_published(&text, finding->check, w->units);
    return detach(&text);
}

/* FNV-1a. */
static uint64_t hash_of(uint64_t hash, const char *text) {
    for (const char *c = text; *c != '\0'; c++) hash = (hash ^ (unsigned char)*c) * 1099511628211u;
    return (hash ^ 0x1F) * 1099511628211u;
}

/* Of all that would be sent, in metric units whatever the coach reads. */
static void make_stamp(sp_kept_item *item, const char *metric_says) {
    uint64_t hash = hash_of(14695981039346656037u, item->shown.check->title);
    hash = hash_of(hash, metric_says);
    hash = hash_of(hash, item->advice);
    snprintf(item->stamp, sizeof item->stamp, "%s-%016" PRIx64,
             sp_check_status_id(item->shown.status), hash);
}

static bool put_words(const work *w, sp_kept_item *item, const sp_finding_entry *entry) {
    sp_finding *finding = &item->shown;
    const char *own = entry == NULL ? NULL : entry->text;
    finding->own_words = own != NULL;
    finding->held_back = sp_advice_is_held_back(finding, w->shoulder);
    item->says = says(w, finding, w->units);
    item->published = published(w, finding);
    item->advice = advice(w, finding, own);
    char *metric = says(w, finding, SP_UNITS_METRIC);
    const bool good =
        item->says != NULL && item->published != NULL && item->advice != NULL && metric != NULL;
    if (good) make_stamp(item, metric);
    free(metric);
    finding->says = item->says;
    finding->published = item->published;
    finding->advice = item->advice;
    finding->stamp = item->stamp;
    finding->seen = entry != NULL && strcmp(entry->seen, item->stamp) == 0;
    return good;
}

/* --- all of them ----------------------------------------------------------------------------- */
static sp_findings_group group_of(const sp_kept_item *item) {
    const sp_finding *finding = &item->shown;
    switch (finding->status) {
    case SP_CHECK_MET: return SP_FINDINGS_GOOD;
    case SP_CHECK_NOT_MET:
        return item->proposed       ? SP_FINDINGS_FIRST
               : finding->held_back ? SP_FINDINGS_CAREFUL
                                    : SP_FINDINGS_LATER;
    case SP_CHECK_WITHIN_ERROR: return SP_FINDINGS_CLOSE;
    case SP_CHECK_FOR_THE_EYE: return SP_FINDINGS_EYE;
    case SP_CHECK_NOT_FROM_THIS_VIEW:
    case SP_CHECK_TOO_COARSE: return SP_FINDINGS_UNSEEN;
    case SP_CHECK_POINTS_MISSING: break;
    }
    return SP_FINDINGS_MISSING;
}

static void set_group(sp_kept_item *item) {
    item->shown.group = group_of(item);
    if (item->shown.check->of_measuring && item->shown.group < SP_FINDINGS_UNSEEN)
        item->shown.group = SP_FINDINGS_MEASURING;
}

/* Only the student's serve is worked on. */
static bool is_work(const sp_finding *finding) {
    return finding->status == SP_CHECK_NOT_MET && !finding->check->of_measuring;
}

static bool take_rank(sp_findings *findings, const sp_ranked *ranked, size_t count, size_t index) {
    char why[400];
    sp_kept_item *item = &findings->items[ranked[index].nth];
    sp_rank_why(ranked, count, index, why, sizeof why);
    item->place_why = strdup(why);
    item->key = ranked[index].key;
    item->proposed = ranked[index].proposed;
    return item->place_why != NULL;
}

static bool rank_all(sp_findings *findings, const sp_review *review) {
    sp_ranked *ranked = calloc(findings->count + 1, sizeof *ranked);
    if (ranked == NULL) return false;
    size_t count = 0;
    for (size_t i = 0; i < findings->count; i++) {
        sp_finding *finding = &findings->items[i].shown;
        if (!is_work(finding)) continue;
        const sp_finding_entry *entry = sp_review_finding_find(review, finding->check->id);
        ranked[count++] = (sp_ranked){.finding = finding,
                                      .order = entry == NULL ? 0 : entry->order,
                                      .clearness = sp_finding_clearness(finding),
                                      .nth = i};
    }
    sp_rank(ranked, count);
    bool good = true;
    for (size_t i = 0; good && i < count; i++) good = take_rank(findings, ranked, count, i);
    free(ranked);
    return good;
}

static bool settle(sp_findings *findings) {
    for (size_t i = 0; i < findings->count; i++) {
        sp_kept_item *item = &findings->items[i];
        if (item->place_why == NULL) item->place_why = empty_text();
        if (item->place_why == NULL) return false;
        item->shown.place_why = item->place_why;
        set_group(item);
    }
    return true;
}

static bool stands_after(const sp_finding *one, const sp_finding *other) {
    return one->group != other->group ? one->group > other->group : one->place > other->place;
}

/* By group, then by place; a stable insertion keeps the order of the files. */
static void sort(sp_findings *findings) {
    for (size_t i = 0; i < findings->count; i++) {
        size_t at = i;
        for (; at > 0; at--) {
            const size_t before = findings->order[at - 1];
            if (!stands_after(&findings->items[before].shown, &findings->items[i].shown)) break;
            findings->order[at] = before;
        }
        findings->order[at] = i;
    }
}

bool sp_findings_add_caution(sp_findings *findings, const char *text) {
    assert(findings->caution_count < SP_FINDINGS_CAUTIONS_MAX);
    char *copy = strdup(text);
    if (copy == NULL) return false;
    findings->cautions[findings->caution_count++] = copy;
    return true;
}

static bool add_cautions(sp_findings *findings, const sp_readout *readout) {
    for (size_t i = 0; i < sp_readout_caution_count(readout); i++)
        if (!sp_findings_add_caution(findings, sp_readout_caution_at(readout, i))) return false;
    return true;
}

static bool fill(sp_findings *findings, const work *w) {
    for (size_t i = 0; i < findings->count; i++) {
        sp_kept_item *item = &findings->items[i];
        item->shown.check = &w->checks->items[i];
        sp_check_decide(&item->shown, w->review, w->readout);
        if (!put_words(w, item, sp_review_finding_find(w->review, item->shown.check->id)))
            return false;
    }
    if (!rank_all(findings, w->review) || !settle(findings)) return false;
    sort(findings);
    findings->next_clip =
        sp_next_clip_detach(findings, w->review, w->readout, w->units, &findings->next_view);
    return findings->next_clip != NULL && add_cautions(findings, w->readout);
}

sp_findings *sp_findings_new(const sp_checks *checks, const sp_review *review,
                             const sp_readout *readout, sp_units units, sp_error *error) {
    const work w = {.checks = checks,
                    .review = review,
                    .readout = readout,
                    .units = units,
                    .shoulder = sp_review_get_player(review)->shoulder};
    sp_findings *findings = calloc(1, sizeof *findings);
    if (findings != NULL) {
        findings->count = checks->count;
        findings->checks = checks;
        findings->shoulder = w.shoulder;
        findings->items = calloc(checks->count + 1, sizeof *findings->items);
        findings->order = calloc(checks->count + 1, sizeof *findings->order);
        if (findings->items != NULL && findings->order != NULL && fill(findings, &w))
            return findings;
    }
    sp_findings_free(findings);
    sp_fail(error, SP_ERROR_MEMORY, "no memory for the findings");
    return NULL;
}

void sp_findings_free(sp_findings *findings) {
    if (findings == NULL) return;
    for (size_t i = 0; findings->items != NULL && i < findings->count; i++) {
        sp_kept_item *item = &findings->items[i];
        free(item->says);
        free(item->published);
        free(item->advice);
        free(item->place_why);
    }
    for (size_t i = 0; i < findings->caution_count; i++) free(findings->cautions[i]);
    for (size_t i = 0; i < findings->asked_count; i++) free(findings->asked[i].words);
    free(findings->items);
    free(findings->order);
    free(findings->next_clip);
    free(findings);
}

/* --- what is in them ------------------------------------------------------------------------- */
size_t sp_findings_count(const sp_findings *findings) { return findings->count; }

const sp_finding *sp_findings_at(const sp_findings *findings, size_t index) {
    assert(index < findings->count);
    return &findings->items[findings->order[index]].shown;
}

const sp_finding *sp_findings_find(const sp_findings *findings, const char *check) {
    for (size_t i = 0; i < findings->count; i++)
        if (strcmp(findings->items[i].shown.check->id, check) == 0)
            return &findings->items[i].shown;
    return NULL;
}

size_t sp_findings_to_send(const sp_findings *findings, const sp_finding **list, size_t room) {
    size_t count = 0;
    for (size_t i = 0; i < findings->count; i++) {
        const sp_finding *finding = sp_findings_at(findings, i);
        if (!finding->seen ||
            (finding->group != SP_FINDINGS_GOOD && finding->group != SP_FINDINGS_FIRST))
            continue;
        if (count < room) list[count] = finding;
        count++;
    }
    return count;
}

size_t sp_findings_caution_count(const sp_findings *findings) { return findings->caution_count; }

const char *sp_findings_caution_at(const sp_findings *findings, size_t index) {
    assert(index < findings->caution_count);
    return findings->cautions[index];
}

const char *sp_findings_next_clip(const sp_findings *findings, sp_view *view) {
    if (view != NULL) *view = findings->next_view;
    return findings->next_clip;
}
