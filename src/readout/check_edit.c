/* What the coach makes of findings: one edit of the review each. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "readout/check_findings.h"

/* The entry as it is; its text stays the review's until the setter copies it. */
static sp_finding_entry entry_of(const sp_review *review, const char *check) {
    const sp_finding_entry *entry = sp_review_finding_find(review, check);
    if (entry != NULL) return *entry;
    return (sp_finding_entry){.order = 0};
}

/* An entry that says nothing is none. */
static bool set(sp_review *review, const char *check, const sp_finding_entry *entry,
                sp_error *error) {
    const bool says = entry->order > 0 || entry->text != NULL || entry->seen[0] != '\0';
    return sp_review_set_finding(review, check, says ? entry : NULL, error);
}

static const sp_kept_item *item_at(const sp_findings *findings, int place) {
    for (size_t i = 0; i < findings->count; i++)
        if (findings->items[i].shown.place == place) return &findings->items[i];
    return NULL;
}

/* Between the keys of the neighbours that it will have. */
static double key_for(const sp_findings *findings, int from, int place) {
    const int before = place > from ? place : place - 1;
    const sp_kept_item *left = item_at(findings, before), *right = item_at(findings, before + 1);
    const double low = left == NULL ? 0 : left->key;
    return right == NULL ? low + 1 : (low + right->key) / 2;
}

bool sp_finding_move(sp_review *review, const sp_findings *findings, const char *check, int place,
                     sp_error *error) {
    const sp_finding *finding = sp_findings_find(findings, check);
    if (finding == NULL || finding->place == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.60s' has no place in the order of work: only what is not met has one",
                       check);
    if (item_at(findings, place) == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "the order of work has no place %d", place);
    sp_finding_entry entry = entry_of(review, check);
    entry.order = place == finding->place ? item_at(findings, place)->key
                                          : key_for(findings, finding->place, place);
    return set(review, check, &entry, error);
}

bool sp_finding_say(sp_review *review, const char *check, const char *words, sp_error *error) {
    sp_finding_entry entry = entry_of(review, check);
    char *copy = words == NULL || words[0] == '\0' ? NULL : strdup(words);
    if (copy == NULL && words != NULL && words[0] != '\0')
        return sp_fail(error, SP_ERROR_MEMORY, "no memory for this edit; nothing has changed");
    entry.text = copy;
    const bool good = set(review, check, &entry, error);
    free(copy);
    return good;
}

bool sp_finding_mark_seen(sp_review *review, const sp_finding *finding, bool seen,
                          sp_error *error) {
    const char *check = sp_check_get_id(finding->check);
    sp_finding_entry entry = entry_of(review, check);
    sp_text_copy(entry.seen, sizeof entry.seen, seen ? finding->stamp : "");
    return set(review, check, &entry, error);
}
