/* Moments and notes. */
#include <stdlib.h>
#include <string.h>

#include "review/members.h"
#include "review/read.h"

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}

bool sp_read_length(const cJSON *array, const char *name, const sp_place *at, sp_error *error) {
    if ((size_t)cJSON_GetArraySize(array) <= SP_REVIEW_LIST_MAX) return true;
    return sp_fail_at(at, name, error, "expected at most %zu items", SP_REVIEW_LIST_MAX);
}

/* --- moments --------------------------------------------------------------------------------- */

static bool read_moment(const sp_review *review, const cJSON *object, sp_kept_moment *item,
                        const sp_place *at, sp_error *error) {
    static const char *const known[] = {"name", "frame", NULL};
    sp_moment *moment = &item->moment;
    return sp_is_object(object, at, error) && sp_members_need(object, known, at, error) &&
           sp_member_text(object, "name", moment->name, sizeof moment->name, at, error) &&
           sp_member_whole(object, "frame", &moment->frame, at, error) &&
           sp_check_moment(&review->clip, moment, at, error) &&
           (sp_moments_find(&review->moments, moment->name, NULL) == NULL ||
            sp_fail_at(at, "name", error, "expected a name that no other moment has")) &&
           sp_members_keep(object, known, &item->kept, error);
}

bool sp_read_moments(sp_review *review, const cJSON *root, const sp_place *root_at,
                     sp_error *error) {
    const sp_place at = {.up = root_at, .name = "moments"};
    const cJSON *array;
    if (!sp_member_array(root, "moments", &array, root_at, error) ||
        !sp_read_length(array, "moments", root_at, error))
        return false;
    const cJSON *object = array == NULL ? NULL : array->child;
    for (size_t i = 0; object != NULL; object = object->next, i++) {
        const sp_place place = {.up = &at, .index = i};
        sp_kept_moment *item = calloc(1, sizeof *item), *put = item;
        if (item == NULL) return no_memory(error);
        if (!read_moment(review, object, item, &place, error)) {
            sp_kept_moment_free(item);
            return false;
        }
        if (!sp_moments_swap(&review->moments, item->moment.name, &put)) {
            sp_kept_moment_free(item);
            return no_memory(error);
        }
    }
    return true;
}

/* --- notes ----------------------------------------------------------------------------------- */

static bool read_note(const cJSON *object, sp_kept_note *item, const sp_place *at,
                      sp_error *error) {
    static const char *const needed[] = {"text", NULL};
    static const char *const known[] = {"frame", "text", NULL};
    if (!sp_members_need(object, needed, at, error)) return false;
    const cJSON *text = cJSON_GetObjectItemCaseSensitive(object, "text");
    if (!cJSON_IsString(text)) return sp_fail_at(at, "text", error, "expected a text");
    if (!sp_check_note(text->valuestring, at, error)) return false;
    item->note.text = strdup(text->valuestring);
    if (item->note.text == NULL) return no_memory(error);
    return sp_members_keep(object, known, &item->kept, error);
}

static bool add_note(sp_review *review, const sp_framed_item *framed, const sp_place *up,
                     sp_error *error) {
    const sp_place at = {.up = up, .index = framed->index};
    sp_kept_note *item = calloc(1, sizeof *item);
    if (item == NULL) return no_memory(error);
    item->note.frame = framed->frame;
    const bool good = read_note(framed->item, item, &at, error);
    if (good && sp_list_insert(&review->notes, review->notes.count, item)) return true;
    sp_kept_note_free(item);
    return good ? no_memory(error) : false;
}

bool sp_read_notes(sp_review *review, const cJSON *root, const sp_place *root_at, sp_error *error) {
    const sp_place at = {.up = root_at, .name = "notes"};
    const cJSON *array;
    if (!sp_member_array(root, "notes", &array, root_at, error)) return false;
    sp_framed_items notes = {0};
    bool good = sp_read_framed(review, array, false, &notes, &at, error);
    for (size_t i = 0; good && i < notes.count; i++)
        good = add_note(review, &notes.items[i], &at, error);
    free(notes.items);
    return good;
}
