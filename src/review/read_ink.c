/* Ink from and to JSON. */
#include <stdlib.h>

#include "review/ink.h"
#include "review/json.h"
#include "review/members.h"
#include "review/read.h"
#include "review/words.h"

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}

static bool read_points(const cJSON *object, sp_ink *ink, const sp_place *at, sp_error *error) {
    const cJSON *array;
    if (!sp_member_array(object, "points", &array, at, error)) return false;
    const size_t count = (size_t)cJSON_GetArraySize(array);
    if (count < 1 || count > SP_INK_POINTS_MAX)
        return sp_fail_at(at, "points", error, "expected 1 to %zu points", SP_INK_POINTS_MAX);
    ink->points = calloc(count, sizeof *ink->points);
    if (ink->points == NULL) return no_memory(error);
    const sp_place points_at = {.up = at, .name = "points"};
    const cJSON *pair = array->child;
    for (; pair != NULL; pair = pair->next, ink->count++) {
        const sp_place place = {.up = &points_at, .index = ink->count};
        if (!sp_read_point(pair, &ink->points[ink->count], &place, error)) return false;
    }
    return true;
}

static bool read_members(const sp_review_clip *clip, const cJSON *object, sp_kept_ink *item,
                         const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"kind", "from_frame", "points", NULL};
    static const char *const known[] = {"kind", "hue", "from_frame", "to_frame", "points", NULL};
    unsigned kind = 0, hue = SP_HUE_PLUMB;
    sp_ink *ink = &item->ink;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_member_word(object, "kind", &sp_words_ink, &kind, at, error) ||
        !sp_member_word(object, "hue", &sp_words_hue, &hue, at, error) ||
        !sp_member_whole(object, "from_frame", &ink->from_frame, at, error))
        return false;
    ink->kind = (sp_ink_kind)kind;
    ink->hue = (sp_hue)hue;
    ink->to_frame = ink->from_frame;
    return sp_member_whole(object, "to_frame", &ink->to_frame, at, error) &&
           read_points(object, ink, at, error) && sp_check_ink(clip, ink, at, error) &&
           sp_members_keep(object, known, &item->kept, error);
}

sp_kept_ink *sp_ink_read(const sp_review_clip *clip, const cJSON *object, const sp_place *at,
                         sp_error *error) {
    sp_kept_ink *item = calloc(1, sizeof *item);
    if (item == NULL) {
        no_memory(error);
        return NULL;
    }
    if (read_members(clip, object, item, at, error)) return item;
    sp_kept_ink_free(item);
    return NULL;
}

bool sp_read_inks(sp_review *review, const cJSON *root, const sp_place *root_at, sp_error *error) {
    const sp_place at = {.up = root_at, .name = "ink"};
    const cJSON *array;
    if (!sp_member_array(root, "ink", &array, root_at, error) ||
        !sp_read_length(array, "ink", root_at, error))
        return false;
    const cJSON *object = array == NULL ? NULL : array->child;
    for (size_t i = 0; object != NULL; object = object->next, i++) {
        const sp_place place = {.up = &at, .index = i};
        sp_kept_ink *item = sp_ink_read(&review->clip, object, &place, error);
        if (item == NULL) return false;
        if (!sp_list_insert(&review->inks, i, item)) {
            sp_kept_ink_free(item);
            return no_memory(error);
        }
    }
    return true;
}

void sp_ink_put(sp_text *text, const char *name, const sp_ink *ink, const char *kept) {
    sp_json_open(text, name, '{');
    sp_json_string(text, "kind", sp_ink_kind_id(ink->kind));
    sp_json_string(text, "hue", sp_hue_id(ink->hue));
    sp_json_number(text, "from_frame", ink->from_frame);
    sp_json_number(text, "to_frame", ink->to_frame);
    sp_json_open(text, "points", '[');
    for (size_t i = 0; i < ink->count; i++) {
        sp_json_open(text, NULL, '[');
        sp_json_number(text, NULL, ink->points[i].x);
        sp_json_number(text, NULL, ink->points[i].y);
        sp_json_close(text, ']');
    }
    sp_json_close(text, ']');
    sp_json_members(text, kept);
    sp_json_close(text, '}');
}
