/* What the coach says of checks: judgements and findings. */
#include <stdlib.h>
#include <string.h>

#include "review/members.h"
#include "review/read.h"
#include "review/words.h"

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}

/* A text of several lines as long as it is; NULL where it is absent. */
static bool read_text(const cJSON *object, char **text, const sp_place *at, sp_error *error) {
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(object, "text");
    if (found == NULL) return true;
    if (!cJSON_IsString(found)) return sp_fail_at(at, "text", error, "expected a text");
    *text = strdup(found->valuestring);
    return *text != NULL || no_memory(error);
}

/* An absent frame is -1; a frame that is there must be one of the clip. */
static bool read_frame(const cJSON *object, int *frame, const sp_place *at, sp_error *error) {
    *frame = -1;
    if (!sp_member_whole(object, "frame", frame, at, error)) return false;
    return *frame >= 0 || cJSON_GetObjectItemCaseSensitive(object, "frame") == NULL ||
           sp_fail_at(at, "frame", error, "expected a frame of the clip, not %d", *frame);
}

static bool read_judgement(const sp_review *review, const cJSON *object, sp_kept_judgement *item,
                           const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"check", "verdict", NULL};
    static const char *const known[] = {"check", "verdict", "frame", "text", NULL};
    sp_judgement *judgement = &item->judgement;
    unsigned verdict = 0;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_member_text(object, "check", judgement->check, sizeof judgement->check, at, error) ||
        !sp_member_word(object, "verdict", &sp_words_verdict, &verdict, at, error) ||
        !read_frame(object, &judgement->frame, at, error) ||
        !read_text(object, &judgement->text, at, error))
        return false;
    judgement->verdict = (sp_verdict)verdict;
    return sp_check_judgement(&review->clip, judgement, at, error) &&
           (sp_judgements_find(&review->judgements, judgement->check, NULL) == NULL ||
            sp_fail_at(at, "check", error, "expected a check that no other judgement has")) &&
           sp_members_keep(object, known, &item->kept, error);
}

static bool add_judgement(sp_review *review, const cJSON *object, const sp_place *at,
                          sp_error *error) {
    sp_kept_judgement *item = calloc(1, sizeof *item);
    if (item == NULL) return no_memory(error);
    const bool good = read_judgement(review, object, item, at, error);
    if (good && sp_list_insert(&review->judgements, review->judgements.count, item)) return true;
    sp_kept_judgement_free(item);
    return good ? no_memory(error) : false;
}

static bool read_finding(const sp_review *review, const cJSON *object, sp_kept_finding *item,
                         const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"check", NULL};
    static const char *const known[] = {"check", "order", "text", "seen", NULL};
    sp_finding_entry *entry = &item->entry;
    return sp_is_object(object, at, error) && sp_members_need(object, needed, at, error) &&
           sp_member_text(object, "check", entry->check, sizeof entry->check, at, error) &&
           sp_member_number(object, "order", &entry->order, at, error) &&
           sp_member_text(object, "seen", entry->seen, sizeof entry->seen, at, error) &&
           read_text(object, &entry->text, at, error) && sp_check_finding(entry, at, error) &&
           (sp_finding_entries_find(&review->findings, entry->check, NULL) == NULL ||
            sp_fail_at(at, "check", error, "expected a check that no other finding has")) &&
           sp_members_keep(object, known, &item->kept, error);
}

static bool add_finding(sp_review *review, const cJSON *object, const sp_place *at,
                        sp_error *error) {
    sp_kept_finding *item = calloc(1, sizeof *item);
    if (item == NULL) return no_memory(error);
    const bool good = read_finding(review, object, item, at, error);
    if (good && sp_list_insert(&review->findings, review->findings.count, item)) return true;
    sp_kept_finding_free(item);
    return good ? no_memory(error) : false;
}

static bool read_all(sp_review *review, const cJSON *root, const char *name,
                     bool (*add)(sp_review *, const cJSON *, const sp_place *, sp_error *),
                     const sp_place *root_at, sp_error *error) {
    const sp_place at = {.up = root_at, .name = name};
    const cJSON *array;
    if (!sp_member_array(root, name, &array, root_at, error)) return false;
    if (array != NULL && (size_t)cJSON_GetArraySize(array) > SP_REVIEW_LIST_MAX)
        return sp_fail_at(root_at, name, error, "expected at most %zu items", SP_REVIEW_LIST_MAX);
    const cJSON *object = array == NULL ? NULL : array->child;
    for (size_t i = 0; object != NULL; object = object->next, i++) {
        const sp_place place = {.up = &at, .index = i};
        if (!add(review, object, &place, error)) return false;
    }
    return true;
}

bool sp_read_checked(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error) {
    return read_all(review, root, "judgements", add_judgement, at, error) &&
           read_all(review, root, "findings", add_finding, at, error);
}
