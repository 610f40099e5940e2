#include "review/read.h"

#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "review/json.h"
#include "review/members.h"
#include "review/words.h"

static bool check_version(const cJSON *root, const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"format", "version", "clip", NULL};
    char format[sizeof SP_REVIEW_FORMAT] = "";
    int version = 0;
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(root, "format");
    if (!cJSON_IsString(found) || !sp_text_copy(format, sizeof format, found->valuestring) ||
        strcmp(format, SP_REVIEW_FORMAT) != 0)
        return sp_fail_at(at, "format", error,
                          "expected \"" SP_REVIEW_FORMAT "\"; is this a review?");
    if (!sp_members_need(root, needed, at, error) ||
        !sp_member_whole(root, "version", &version, at, error))
        return false;
    if (version > SP_REVIEW_VERSION)
        return sp_fail_at(at, "version", error,
                          "expected %d, not %d: the file was made by a newer Serveplumb; update "
                          "Serveplumb to open it",
                          SP_REVIEW_VERSION, version);
    return version == SP_REVIEW_VERSION ||
           sp_fail_at(at, "version", error, "expected %d, not %d", SP_REVIEW_VERSION, version);
}

static bool read_clip(sp_review *review, const cJSON *root, const sp_place *root_at,
                      sp_error *error) {
    static const char *const needed[] = {"file", "sha256", "frames", "width", "height", NULL};
    static const char *const known[] = {"file",     "sha256",     "frames",     "width", "height",
                                        "slowdown", "row_time_s", "exposure_s", NULL};
    const sp_place at = {.up = root_at, .name = "clip"};
    sp_review_clip *clip = &review->clip;
    const cJSON *object;
    return sp_member_object(root, "clip", &object, root_at, error) &&
           sp_members_need(object, needed, &at, error) &&
           sp_member_text(object, "file", clip->file, sizeof clip->file, &at, error) &&
           sp_member_text(object, "sha256", clip->sha256, sizeof clip->sha256, &at, error) &&
           sp_member_whole(object, "frames", &clip->frames, &at, error) &&
           sp_member_whole(object, "width", &clip->width, &at, error) &&
           sp_member_whole(object, "height", &clip->height, &at, error) &&
           sp_member_number(object, "slowdown", &clip->slowdown, &at, error) &&
           sp_member_number(object, "row_time_s", &clip->row_time_s, &at, error) &&
           sp_member_number(object, "exposure_s", &clip->exposure_s, &at, error) &&
           sp_check_clip(clip, &at, error) &&
           sp_members_keep(object, known, &review->clip_kept, error);
}

static bool read_player(sp_review *review, const cJSON *root, const sp_place *root_at,
                        sp_error *error) {
    static const char *const known[] = {"name", "hand", "stature_m", "racquet_m", "shoulder", NULL};
    const sp_place at = {.up = root_at, .name = "player"};
    sp_player *player = &review->player;
    unsigned hand = player->hand, shoulder = player->shoulder;
    const cJSON *object;
    if (!sp_member_object(root, "player", &object, root_at, error)) return false;
    if (object == NULL) return true;
    if (!sp_member_text(object, "name", player->name, sizeof player->name, &at, error) ||
        !sp_member_word(object, "hand", &sp_words_hand, &hand, &at, error) ||
        !sp_member_number(object, "stature_m", &player->stature_m, &at, error) ||
        !sp_member_number(object, "racquet_m", &player->racquet_m, &at, error) ||
        !sp_member_word(object, "shoulder", &sp_words_shoulder, &shoulder, &at, error))
        return false;
    player->hand = (sp_hand)hand;
    player->shoulder = (sp_shoulder)shoulder;
    return sp_check_player(player, &at, error) &&
           sp_members_keep(object, known, &review->player_kept, error);
}

static bool read_view(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error) {
    unsigned view = review->view;
    if (!sp_member_word(root, "view", &sp_words_view, &view, at, error)) return false;
    unsigned net = sp_view_net((sp_view)view);
    if (!sp_member_word(root, "net", &sp_words_net, &net, at, error)) return false;
    review->view = (sp_view)view;
    review->net = (sp_net)net;
    return sp_check_net(review->view, review->net, at, error);
}

static bool read_taps(const cJSON *object, sp_plumb_entry *plumb, const sp_place *at,
                      sp_error *error) {
    static const char *const needed[] = {"frame", "a", "b", NULL};
    return sp_members_need(object, needed, at, error) &&
           sp_member_whole(object, "frame", &plumb->frame, at, error) &&
           sp_member_point(object, "a", &plumb->a, at, error) &&
           sp_member_point(object, "b", &plumb->b, at, error);
}

/* Only level and hang use the taps; under another method such members are just kept. */
static bool read_plumb(sp_review *review, const cJSON *root, const sp_place *root_at,
                       sp_error *error) {
    static const char *const with_taps[] = {"method", "angle_deg", "frame", "a", "b", NULL};
    static const char *const without[] = {"method", "angle_deg", NULL};
    const sp_place at = {.up = root_at, .name = "plumb"};
    sp_plumb_entry *plumb = &review->plumb;
    unsigned method = plumb->method;
    const cJSON *object;
    if (!sp_member_object(root, "plumb", &object, root_at, error)) return false;
    if (object == NULL) return true;
    if (!sp_member_word(object, "method", &sp_words_plumb, &method, &at, error) ||
        !sp_member_number(object, "angle_deg", &plumb->angle_deg, &at, error))
        return false;
    plumb->method = (sp_plumb_method)method;
    const bool taps = sp_plumb_has_taps(plumb->method);
    return (!taps || read_taps(object, plumb, &at, error)) &&
           sp_check_plumb(&review->clip, plumb, &at, error) &&
           sp_members_keep(object, taps ? with_taps : without, &review->plumb_kept, error);
}

static bool read_active(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error) {
    if (!sp_member_text(root, "scale", review->active, sizeof review->active, at, error))
        return false;
    return cJSON_GetObjectItemCaseSensitive(root, "scale") == NULL ||
           sp_review_active_scale(review) != NULL ||
           sp_fail_at(at, "scale", error, "expected the id of one of the scales");
}

/* A whole array that is not interpreted. */
static bool read_array_as_is(const cJSON *root, const char *name, char **value, const sp_place *at,
                             sp_error *error) {
    const cJSON *array;
    if (!sp_member_array(root, name, &array, at, error)) return false;
    if (array == NULL) return true;
    sp_text text = {0};
    sp_json_tree(&text, NULL, array);
    *value = sp_text_detach(&text);
    return *value != NULL || sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}

static bool read_reviewed(sp_review *review, const cJSON *root, const sp_place *at,
                          sp_error *error) {
    if (cJSON_GetObjectItemCaseSensitive(root, "reviewed") == NULL) return true;
    return sp_member_text(root, "reviewed", review->reviewed, sizeof review->reviewed, at, error) &&
           sp_check_date(review->reviewed, at, error);
}

static bool read_root(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error) {
    static const char *const known[] = {"format",     "version",      "clip",     "player", "view",
                                        "net",        "points_sd_px", "plumb",    "scales", "scale",
                                        "moments",    "marks",        "speeds",   "ink",    "notes",
                                        "judgements", "findings",     "reviewed", NULL};
    return sp_is_object(root, at, error) && check_version(root, at, error) &&
           read_clip(review, root, at, error) && read_player(review, root, at, error) &&
           read_view(review, root, at, error) &&
           sp_member_number(root, "points_sd_px", &review->points_sd_px, at, error) &&
           sp_check_points_sd(review->points_sd_px, at, error) &&
           read_plumb(review, root, at, error) && sp_read_scales(review, root, at, error) &&
           read_active(review, root, at, error) && sp_read_moments(review, root, at, error) &&
           sp_read_marks(review, root, at, error) &&
           read_array_as_is(root, "speeds", &review->speeds, at, error) &&
           sp_read_inks(review, root, at, error) && sp_read_notes(review, root, at, error) &&
           sp_read_checked(review, root, at, error) && read_reviewed(review, root, at, error) &&
           sp_members_keep(root, known, &review->kept, error);
}

sp_review *sp_review_parse(const char *text, size_t length, const char *name, sp_error *error) {
    cJSON *tree = sp_json_parse(text, length, name, error);
    if (tree == NULL) return NULL;
    const sp_place root = {.name = name};
    sp_review *review = sp_review_empty();
    if (review == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
    } else if (!read_root(review, tree, &root, error)) {
        sp_review_free(review);
        review = NULL;
    }
    cJSON_Delete(tree);
    return review;
}

sp_review *sp_review_read(const char *path, sp_error *error) {
    char *text;
    size_t length;
    if (!sp_file_read(path, SP_JSON_BYTES_MAX, &text, &length, error)) return NULL;
    sp_review *review = sp_review_parse(text, length, path, error);
    free(text);
    return review;
}
