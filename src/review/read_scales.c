/* Scales: each method has its own members. */
#include <stdlib.h>
#include <string.h>

#include "review/members.h"
#include "review/read.h"
#include "review/utf8.h"
#include "review/words.h"

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}

/* --- line ------------------------------------------------------------------------------------ */

static bool read_line(const cJSON *object, sp_kept_scale *scale, const sp_place *at,
                      sp_error *error) {
    static const char *const needed[] = {"frame", "a", "b", "distance_m", NULL};
    sp_scale_entry *entry = &scale->entry;
    return sp_members_need(object, needed, at, error) &&
           sp_member_whole(object, "frame", &entry->frame, at, error) &&
           sp_member_point(object, "a", &entry->a, at, error) &&
           sp_member_point(object, "b", &entry->b, at, error) &&
           sp_member_number(object, "distance_m", &entry->distance_m, at, error) &&
           sp_member_text(object, "distance_name", entry->distance_name,
                          sizeof entry->distance_name, at, error) &&
           sp_member_number(object, "sd_px", &entry->sd_px, at, error);
}

/* --- court ----------------------------------------------------------------------------------- */

static bool find_landmark(const cJSON *object, sp_landmark_tap *tap, const sp_place *at,
                          sp_error *error) {
    char name[SP_REVIEW_ID_MAX], shown[48];
    if (!sp_member_text(object, "name", name, sizeof name, at, error)) return false;
    tap->landmark = sp_landmark_find(name);
    return tap->landmark != NULL ||
           sp_fail_at(at, "name", error,
                      "expected the name of a landmark, such as near_left_singles_corner, not "
                      "'%s'",
                      sp_utf8_show(shown, sizeof shown, name));
}

static bool read_landmark(const cJSON *object, sp_landmark_tap *tap, char **kept,
                          const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"name", "at", NULL};
    static const char *const known[] = {"name", "at", "sd_px", NULL};
    return sp_is_object(object, at, error) && sp_members_need(object, needed, at, error) &&
           find_landmark(object, tap, at, error) &&
           sp_member_point(object, "at", &tap->at, at, error) &&
           sp_member_number(object, "sd_px", &tap->sd_px, at, error) &&
           sp_members_keep(object, known, kept, error);
}

static bool read_landmarks(const cJSON *object, sp_kept_scale *scale, const sp_place *up,
                           sp_error *error) {
    const sp_place at = {.up = up, .name = "landmarks"};
    const cJSON *array;
    if (!sp_member_array(object, "landmarks", &array, up, error)) return false;
    if (cJSON_GetArraySize(array) > SP_SCALE_LANDMARKS_MAX)
        return sp_fail_at(&at, NULL, error, "expected at most %d items", SP_SCALE_LANDMARKS_MAX);
    sp_scale_entry *entry = &scale->entry;
    for (const cJSON *item = array->child; item != NULL; item = item->next) {
        const size_t i = entry->landmark_count;
        const sp_place place = {.up = &at, .index = i};
        if (!read_landmark(item, &entry->landmarks[i], &scale->landmark_kept[i], &place, error))
            return false;
        entry->landmark_count++;
    }
    return true;
}

static bool read_court(const cJSON *object, sp_kept_scale *scale, const sp_place *at,
                       sp_error *error) {
    static const char *const needed[] = {"frame", "landmarks", NULL};
    return sp_members_need(object, needed, at, error) &&
           sp_member_whole(object, "frame", &scale->entry.frame, at, error) &&
           sp_member_number(object, "sd_px", &scale->entry.sd_px, at, error) &&
           read_landmarks(object, scale, at, error);
}

/* --- toss ------------------------------------------------------------------------------------ */

static bool read_toss(const cJSON *object, sp_kept_scale *scale, const sp_place *at,
                      sp_error *error) {
    static const char *const needed[] = {"from_frame", "to_frame", NULL};
    return sp_members_need(object, needed, at, error) &&
           sp_member_whole(object, "from_frame", &scale->entry.from_frame, at, error) &&
           sp_member_whole(object, "to_frame", &scale->entry.to_frame, at, error);
}

/* --- any ------------------------------------------------------------------------------------- */

static const struct {
    bool (*read)(const cJSON *object, sp_kept_scale *scale, const sp_place *at, sp_error *error);
    const char *known[9];
} METHODS[] = {
    [SP_SCALE_LINE] = {read_line,
                       {"id", "method", "frame", "a", "b", "distance_m", "distance_name", "sd_px"}},
    [SP_SCALE_COURT] = {read_court, {"id", "method", "frame", "landmarks", "sd_px"}},
    [SP_SCALE_TOSS] = {read_toss, {"id", "method", "from_frame", "to_frame"}},
};

static bool read_scale(const sp_review *review, const cJSON *object, sp_kept_scale *scale,
                       const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"id", "method", NULL};
    sp_scale_entry *entry = &scale->entry;
    unsigned method = 0;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_member_text(object, "id", entry->id, sizeof entry->id, at, error) ||
        !sp_member_word(object, "method", &sp_words_scale, &method, at, error))
        return false;
    entry->method = (sp_scale_method)method;
    return METHODS[method].read(object, scale, at, error) &&
           sp_check_scale(&review->clip, entry, at, error) &&
           (sp_scales_find(&review->scales, entry->id, NULL) == NULL ||
            sp_fail_at(at, "id", error, "expected an id that no other scale has")) &&
           sp_members_keep(object, METHODS[method].known, &scale->kept, error);
}

bool sp_read_scales(sp_review *review, const cJSON *root, const sp_place *root_at,
                    sp_error *error) {
    const sp_place at = {.up = root_at, .name = "scales"};
    const cJSON *array;
    if (!sp_member_array(root, "scales", &array, root_at, error) ||
        !sp_read_length(array, "scales", root_at, error))
        return false;
    const cJSON *object = array == NULL ? NULL : array->child;
    for (size_t i = 0; object != NULL; object = object->next, i++) {
        const sp_place place = {.up = &at, .index = i};
        sp_kept_scale *scale = calloc(1, sizeof *scale);
        if (scale == NULL) return no_memory(error);
        if (!read_scale(review, object, scale, &place, error)) {
            sp_kept_scale_free(scale);
            return false;
        }
        if (!sp_list_insert(&review->scales, i, scale)) {
            sp_kept_scale_free(scale);
            return no_memory(error);
        }
    }
    return true;
}
