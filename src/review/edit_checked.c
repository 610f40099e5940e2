/* The setters of what the coach says of a check. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "review/document.h"

static const sp_place here = {.name = ""};

static bool same_text(const char *a, const char *b) {
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

static bool name_check(const char *check, char named[SP_REVIEW_ID_MAX], const sp_place *at,
                       sp_error *error) {
    return sp_text_copy(named, SP_REVIEW_ID_MAX, check) ||
           sp_fail_at(at, "check", error, "expected at most %d bytes", SP_REVIEW_ID_MAX - 1);
}

static bool has_room(const sp_list *list, bool replaces, sp_error *error) {
    return replaces || list->count < SP_REVIEW_LIST_MAX ||
           sp_fail(error, SP_ERROR_LIMIT,
                   "a review holds at most %zu of these; remove one of another check first",
                   SP_REVIEW_LIST_MAX);
}

/* --- judgements ------------------------------------------------------------------------------ */
static bool fill_judgement(sp_edit *edit, const sp_judgement *judgement,
                           const sp_kept_judgement *now) {
    sp_kept_judgement *item = calloc(1, sizeof *item);
    edit->other.judgement.item = item;
    if (item == NULL) return false;
    item->judgement = *judgement;
    item->judgement.text = NULL;
    return sp_edit_copy(judgement->text, &item->judgement.text) &&
           (now == NULL || sp_edit_copy(now->kept, &item->kept));
}

static bool same_judgement(const sp_judgement *a, const sp_judgement *b) {
    return a->verdict == b->verdict && a->frame == b->frame && same_text(a->text, b->text);
}

/* `set` NULL: there shall be none. */
static bool put_judgement(sp_review *review, const char *check, const sp_judgement *set,
                          sp_error *error) {
    sp_edit edit = {.kind = SP_EDIT_JUDGEMENT};
    const sp_kept_judgement *now =
        sp_judgements_find(&review->judgements, check, &edit.other.judgement.index);
    if (set == NULL ? now == NULL : now != NULL && same_judgement(set, &now->judgement))
        return true;
    if (!has_room(&review->judgements, now != NULL || set == NULL, error)) return false;
    if (!sp_edit_copy(check, &edit.key) || (set != NULL && !fill_judgement(&edit, set, now)))
        return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

bool sp_review_set_judgement(sp_review *review, const char *check, const sp_judgement *judgement,
                             sp_error *error) {
    if (judgement == NULL) return put_judgement(review, check, NULL, error);
    const sp_place place = {.up = &here, .name = "judgement"};
    sp_judgement set = *judgement;
    return name_check(check, set.check, &place, error) &&
           sp_check_judgement(&review->clip, &set, &place, error) &&
           put_judgement(review, check, &set, error);
}

/* --- findings -------------------------------------------------------------------------------- */
static bool fill_finding(sp_edit *edit, const sp_finding_entry *entry, const sp_kept_finding *now) {
    sp_kept_finding *item = calloc(1, sizeof *item);
    edit->other.finding.item = item;
    if (item == NULL) return false;
    item->entry = *entry;
    item->entry.text = NULL;
    return sp_edit_copy(entry->text, &item->entry.text) &&
           (now == NULL || sp_edit_copy(now->kept, &item->kept));
}

static bool same_finding(const sp_finding_entry *a, const sp_finding_entry *b) {
    return a->order == b->order && same_text(a->text, b->text) && strcmp(a->seen, b->seen) == 0;
}

static bool put_finding(sp_review *review, const char *check, const sp_finding_entry *set,
                        sp_error *error) {
    sp_edit edit = {.kind = SP_EDIT_FINDING};
    const sp_kept_finding *now =
        sp_finding_entries_find(&review->findings, check, &edit.other.finding.index);
    if (set == NULL ? now == NULL : now != NULL && same_finding(set, &now->entry)) return true;
    if (!has_room(&review->findings, now != NULL || set == NULL, error)) return false;
    if (!sp_edit_copy(check, &edit.key) || (set != NULL && !fill_finding(&edit, set, now)))
        return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

bool sp_review_set_finding(sp_review *review, const char *check, const sp_finding_entry *entry,
                           sp_error *error) {
    if (entry == NULL) return put_finding(review, check, NULL, error);
    const sp_place place = {.up = &here, .name = "finding"};
    sp_finding_entry set = *entry;
    return name_check(check, set.check, &place, error) && sp_check_finding(&set, &place, error) &&
           put_finding(review, check, &set, error);
}
