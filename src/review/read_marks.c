/* The points, and arrays whose items stand on frames. */
#include <stdlib.h>

#include "review/json.h"
#include "review/members.h"
#include "review/read.h"
#include "review/words.h"

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}

static int compare_framed(const void *a, const void *b) {
    const sp_framed_item *first = a, *second = b;
    if (first->frame != second->frame) return first->frame < second->frame ? -1 : 1;
    return (first->index > second->index) - (first->index < second->index);
}

static bool read_frame(const sp_review *review, sp_framed_item *item, bool needs_frame,
                       const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"frame", NULL};
    item->frame = -1;
    if (!sp_is_object(item->item, at, error)) return false;
    if (needs_frame && !sp_members_need(item->item, needed, at, error)) return false;
    if (cJSON_GetObjectItemCaseSensitive(item->item, "frame") == NULL) return true;
    return sp_member_whole(item->item, "frame", &item->frame, at, error) &&
           sp_check_frame(&review->clip, item->frame, at, error);
}

/* Sorted here once: a file in any order takes no longer than one in order. */
bool sp_read_framed(const sp_review *review, const cJSON *array, bool needs_frame,
                    sp_framed_items *items, const sp_place *at, sp_error *error) {
    const size_t count = (size_t)cJSON_GetArraySize(array);
    if (count == 0) return true;
    items->items = calloc(count, sizeof *items->items);
    if (items->items == NULL) return no_memory(error);
    for (const cJSON *item = array->child; item != NULL; item = item->next) {
        sp_framed_item *framed = &items->items[items->count];
        *framed = (sp_framed_item){.item = item, .index = items->count};
        const sp_place place = {.up = at, .index = items->count};
        items->count++;
        if (!read_frame(review, framed, needs_frame, &place, error)) return false;
    }
    qsort(items->items, count, sizeof *items->items, compare_framed);
    for (size_t i = 1; i < count; i++) {
        const sp_place place = {.up = at, .index = items->items[i].index};
        if (items->items[i].frame == items->items[i - 1].frame)
            return sp_fail_at(&place, "frame", error, "expected a frame that no other item has");
    }
    return true;
}

static bool read_mark(const sp_review *review, const cJSON *object, sp_mark_state *state,
                      const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"at", NULL};
    static const char *const known[] = {"at", "sd_px", "by", NULL};
    sp_mark *mark = &state->mark;
    unsigned by = SP_BY_TAP;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_member_point(object, "at", &mark->at, at, error) ||
        !sp_member_number(object, "sd_px", &mark->sd_px, at, error) ||
        !sp_member_word(object, "by", &sp_words_by, &by, at, error) ||
        !sp_check_mark(&review->clip, mark, at, error))
        return false;
    mark->by = (sp_mark_by)by;
    return sp_members_keep(object, known, &state->kept, error);
}

static bool add_mark(sp_review *review, int frame, sp_point_name name, const cJSON *object,
                     const sp_place *at, sp_error *error) {
    sp_mark_state state = {.present = true};
    const bool good = read_mark(review, object, &state, at, error);
    if (good && sp_marks_swap(&review->marks, frame, name, &state)) return true;
    free(state.kept);
    return good ? no_memory(error) : false;
}

/* Points whose names we do not know are kept whole, in `unknown`. */
static bool read_points(sp_review *review, int frame, const cJSON *points, sp_text *unknown,
                        const sp_place *at, sp_error *error) {
    for (const cJSON *item = points->child; item != NULL; item = item->next) {
        const sp_place place = {.up = at, .name = item->string};
        sp_point_name name;
        if (!sp_point_find(item->string, &name)) {
            sp_json_tree(unknown, item->string, item);
        } else if (!add_mark(review, frame, name, item, &place, error)) {
            return false;
        }
    }
    return true;
}

static bool keep(sp_review *review, const sp_framed_item *framed, sp_text *unknown,
                 sp_error *error) {
    static const char *const known[] = {"frame", "points", NULL};
    const bool points = unknown->length > 0 || unknown->failed;
    char *kept, *points_kept = points ? sp_text_detach(unknown) : NULL;
    if (!sp_members_keep(framed->item, known, &kept, error)) {
        free(points_kept);
        return false;
    }
    if (points && points_kept == NULL) {
        free(kept);
        return no_memory(error);
    }
    if (kept == NULL && points_kept == NULL) return true;
    return sp_marks_keep(&review->marks, framed->frame, kept, points_kept) || no_memory(error);
}

static bool add_frame(sp_review *review, const sp_framed_item *framed, const sp_place *up,
                      sp_error *error) {
    const sp_place at = {.up = up, .index = framed->index};
    const sp_place points_at = {.up = &at, .name = "points"};
    const cJSON *points;
    if (!sp_member_object(framed->item, "points", &points, &at, error)) return false;
    sp_text unknown = {0};
    const bool good = (points == NULL ||
                       read_points(review, framed->frame, points, &unknown, &points_at, error)) &&
                      keep(review, framed, &unknown, error);
    sp_text_clear(&unknown);
    return good;
}

bool sp_read_marks(sp_review *review, const cJSON *root, const sp_place *root_at, sp_error *error) {
    const sp_place at = {.up = root_at, .name = "marks"};
    const cJSON *array;
    if (!sp_member_array(root, "marks", &array, root_at, error)) return false;
    sp_framed_items frames = {0};
    bool good = sp_read_framed(review, array, true, &frames, &at, error);
    for (size_t i = 0; good && i < frames.count; i++)
        good = add_frame(review, &frames.items[i], &at, error);
    free(frames.items);
    return good;
}
