/* The talk-through from and to JSON. */
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "review/check.h"
#include "review/json.h"
#include "review/members.h"
#include "review/read.h"
#include "review/talk.h"

static const sp_words kinds = {7,
                               {[SP_TALK_FRAME] = "frame",
                                [SP_TALK_PLAY] = "play",
                                [SP_TALK_VIEW] = "view",
                                [SP_TALK_INK] = "ink",
                                [SP_TALK_RUB] = "rub",
                                [SP_TALK_MEASURE] = "measure",
                                [SP_TALK_OVERLAY] = "overlay"}};

/* What each kind holds beside at_s and do. */
static const char *const members[][8] = {
    [SP_TALK_FRAME] = {"at_s", "do", "frame", NULL},
    [SP_TALK_PLAY] = {"at_s", "do", "frame", "pace", NULL},
    [SP_TALK_VIEW] = {"at_s", "do", "middle", "zoom", NULL},
    [SP_TALK_INK] = {"at_s", "do", "ink", "took_s", NULL},
    [SP_TALK_RUB] = {"at_s", "do", "mark", NULL},
    [SP_TALK_MEASURE] = {"at_s", "do", "measure", "moment", NULL},
    [SP_TALK_OVERLAY] = {"at_s", "do", "shown", NULL},
};

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the talk-through");
}

static bool read_ink(const sp_review_clip *clip, const cJSON *object, sp_kept_action *item,
                     const sp_place *at, sp_error *error) {
    const sp_place place = {.up = at, .name = "ink"};
    item->ink = sp_ink_read(clip, cJSON_GetObjectItemCaseSensitive(object, "ink"), &place, error);
    if (item->ink == NULL) return false;
    item->action.ink = item->ink->ink;
    return true;
}

static bool read_shown(const cJSON *object, bool *shown, const sp_place *at, sp_error *error) {
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(object, "shown");
    if (found == NULL) return true;
    if (!cJSON_IsBool(found)) return sp_fail_at(at, "shown", error, "expected true or false");
    *shown = cJSON_IsTrue(found);
    return true;
}

static bool read_action(const sp_review_clip *clip, const cJSON *object, sp_kept_action *item,
                        const sp_place *at, sp_error *error) {
    static const char *const always[] = {"at_s", "do", NULL};
    sp_talk_action *a = &item->action;
    unsigned kind = 0;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, always, at, error) ||
        !sp_member_word(object, "do", &kinds, &kind, at, error) ||
        !sp_members_need(object, members[kind], at, error))
        return false;
    a->kind = (sp_talk_kind)kind;
    return sp_member_number(object, "at_s", &a->at_s, at, error) &&
           sp_member_whole(object, "frame", &a->frame, at, error) &&
           sp_member_number(object, "pace", &a->pace, at, error) &&
           sp_member_point(object, "middle", &a->middle, at, error) &&
           sp_member_number(object, "zoom", &a->zoom, at, error) &&
           (a->kind != SP_TALK_INK || read_ink(clip, object, item, at, error)) &&
           sp_member_number(object, "took_s", &a->took_s, at, error) &&
           sp_member_whole(object, "mark", &a->mark, at, error) &&
           sp_member_text(object, "measure", a->measure, sizeof a->measure, at, error) &&
           sp_member_text(object, "moment", a->moment, sizeof a->moment, at, error) &&
           read_shown(object, &a->shown, at, error) && sp_check_talk_action(clip, a, at, error) &&
           sp_members_keep(object, members[kind], &item->kept, error);
}

static bool add_action(const sp_review_clip *clip, sp_kept_take *take, const cJSON *object,
                       const sp_place *at, sp_error *error) {
    sp_kept_action *item = calloc(1, sizeof *item);
    if (item == NULL) return no_memory(error);
    const size_t count = take->actions.count;
    const sp_kept_action *last = count == 0 ? NULL : take->actions.items[count - 1];
    bool good = read_action(clip, object, item, at, error);
    if (good && last != NULL && item->action.at_s < last->action.at_s)
        good = sp_fail_at(at, "at_s", error, "expected a time not before that of the action above");
    if (good && sp_list_insert(&take->actions, count, item)) {
        take->take.count = count + 1;
        return true;
    }
    sp_kept_action_free(item);
    return good ? no_memory(error) : false;
}

static bool read_take(const sp_review_clip *clip, const cJSON *object, sp_kept_take *take,
                      const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"length_s", "actions", NULL};
    static const char *const known[] = {"voice", "length_s", "actions", NULL};
    const sp_place actions_at = {.up = at, .name = "actions"};
    const cJSON *array;
    sp_talk_take *t = &take->take;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_member_text(object, "voice", t->voice, sizeof t->voice, at, error) ||
        !sp_check_voice(t->voice, at, error) ||
        !sp_member_number(object, "length_s", &t->length_s, at, error) ||
        !sp_member_array(object, "actions", &array, at, error))
        return false;
    if (!(t->length_s >= 0 && t->length_s <= SP_TALK_LENGTH_MAX))
        return sp_fail_at(at, "length_s", error, "expected a number from 0 to %g",
                          SP_TALK_LENGTH_MAX);
    if ((size_t)cJSON_GetArraySize(array) > SP_TALK_ACTIONS_MAX)
        return sp_fail_at(at, "actions", error, "expected at most %zu items", SP_TALK_ACTIONS_MAX);
    size_t i = 0;
    for (const cJSON *one = array->child; one != NULL; one = one->next, i++) {
        const sp_place place = {.up = &actions_at, .index = i};
        if (!add_action(clip, take, one, &place, error)) return false;
    }
    return sp_members_keep(object, known, &take->kept, error);
}

static bool read_takes(sp_talk *talk, const cJSON *root, const sp_place *root_at, sp_error *error) {
    const sp_place at = {.up = root_at, .name = "takes"};
    const cJSON *array;
    if (!sp_member_array(root, "takes", &array, root_at, error) ||
        !sp_read_length(array, "takes", root_at, error))
        return false;
    size_t i = 0;
    for (const cJSON *object = array->child; object != NULL; object = object->next, i++) {
        const sp_place place = {.up = &at, .index = i};
        sp_kept_take *take = calloc(1, sizeof *take);
        if (take == NULL) return no_memory(error);
        if (!read_take(&talk->clip, object, take, &place, error)) {
            sp_kept_take_free(take);
            return false;
        }
        if (!sp_list_insert(&talk->takes, i, take)) {
            sp_kept_take_free(take);
            return no_memory(error);
        }
    }
    return true;
}

static bool read_piece(const sp_talk *talk, const cJSON *object, sp_talk_piece *piece,
                       const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"take", "from_s", "to_s", NULL};
    int take = 0;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_member_whole(object, "take", &take, at, error) ||
        !sp_member_number(object, "from_s", &piece->from_s, at, error) ||
        !sp_member_number(object, "to_s", &piece->to_s, at, error))
        return false;
    if (take < 0 || (size_t)take >= talk->takes.count)
        return sp_fail_at(at, "take", error, "expected the number of one of the %zu takes, from 0",
                          talk->takes.count);
    piece->take = (size_t)take;
    const double length = sp_talk_take_at(talk, piece->take)->length_s;
    return (piece->from_s >= 0 && piece->from_s < piece->to_s && piece->to_s <= length) ||
           sp_fail_at(at, "to_s", error, "expected a part of the take's %g s, from_s before to_s",
                      length);
}

#define PIECES_MAX ((size_t)10000)

static bool read_pieces(sp_talk *talk, const cJSON *root, const sp_place *root_at,
                        sp_error *error) {
    const sp_place at = {.up = root_at, .name = "pieces"};
    const cJSON *array;
    if (!sp_member_array(root, "pieces", &array, root_at, error)) return false;
    const size_t count = (size_t)cJSON_GetArraySize(array);
    if (count > PIECES_MAX)
        return sp_fail_at(root_at, "pieces", error, "expected at most %zu items", PIECES_MAX);
    talk->pieces.items = calloc(count + 1, sizeof *talk->pieces.items);
    if (talk->pieces.items == NULL) return no_memory(error);
    const cJSON *object = array->child;
    for (; object != NULL; object = object->next, talk->pieces.count++) {
        const sp_place place = {.up = &at, .index = talk->pieces.count};
        if (!read_piece(talk, object, &talk->pieces.items[talk->pieces.count], &place, error))
            return false;
    }
    return true;
}

static bool check_clip(const sp_talk *talk, const cJSON *root, const sp_place *at,
                       sp_error *error) {
    char sha256[65] = "";
    if (!sp_member_text(root, "clip_sha256", sha256, sizeof sha256, at, error)) return false;
    return strcmp(sha256, talk->clip.sha256) == 0 ||
           sp_fail(error, SP_ERROR_MISMATCH,
                   "'%s' was recorded over another clip than that of this review; put its own "
                   "review beside it, or move it away to begin anew",
                   at->name);
}

static bool read_root(sp_talk *talk, const cJSON *root, const sp_place *at, sp_error *error) {
    static const char *const known[] = {"format", "version", "clip_sha256",
                                        "takes",  "pieces",  NULL};
    char format[sizeof SP_TALK_FORMAT] = "";
    int version = 0;
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(root, "format");
    if (!sp_is_object(root, at, error)) return false;
    if (!cJSON_IsString(found) || !sp_text_copy(format, sizeof format, found->valuestring) ||
        strcmp(format, SP_TALK_FORMAT) != 0)
        return sp_fail_at(at, "format", error,
                          "expected \"" SP_TALK_FORMAT "\"; is this a talk-through?");
    if (!sp_members_need(root, known, at, error) ||
        !sp_member_whole(root, "version", &version, at, error))
        return false;
    if (version != SP_TALK_VERSION)
        return sp_fail_at(at, "version", error, "expected %d, not %d; update Serveplumb to open it",
                          SP_TALK_VERSION, version);
    return check_clip(talk, root, at, error) && read_takes(talk, root, at, error) &&
           read_pieces(talk, root, at, error) && sp_members_keep(root, known, &talk->kept, error);
}

sp_talk *sp_talk_parse(const char *text, size_t length, const char *name,
                       const sp_review_clip *clip, sp_error *error) {
    cJSON *tree = sp_json_parse(text, length, name, error);
    if (tree == NULL) return NULL;
    const sp_place root = {.name = name};
    sp_talk *talk = sp_talk_new(clip, error);
    if (talk != NULL && !read_root(talk, tree, &root, error)) {
        sp_talk_free(talk);
        talk = NULL;
    }
    cJSON_Delete(tree);
    return talk;
}

sp_talk *sp_talk_read(const char *path, const sp_review_clip *clip, sp_error *error) {
    char *text;
    size_t length;
    if (!sp_file_read(path, SP_JSON_BYTES_MAX, &text, &length, error)) return NULL;
    sp_talk *talk = sp_talk_parse(text, length, path, clip, error);
    free(text);
    return talk;
}

/* --- writing --------------------------------------------------------------------------------- */

static void put_own(sp_text *text, const sp_kept_action *item) {
    const sp_talk_action *a = &item->action;
    switch (a->kind) {
    case SP_TALK_PLAY:
        sp_json_number(text, "frame", a->frame);
        sp_json_number(text, "pace", a->pace);
        break;
    case SP_TALK_FRAME: sp_json_number(text, "frame", a->frame); break;
    case SP_TALK_VIEW:
        sp_json_open(text, "middle", '[');
        sp_json_number(text, NULL, a->middle.x);
        sp_json_number(text, NULL, a->middle.y);
        sp_json_close(text, ']');
        sp_json_number(text, "zoom", a->zoom);
        break;
    case SP_TALK_INK:
        sp_ink_put(text, "ink", &item->ink->ink, item->ink->kept);
        sp_json_number(text, "took_s", a->took_s);
        break;
    case SP_TALK_RUB: sp_json_number(text, "mark", a->mark); break;
    case SP_TALK_MEASURE:
        sp_json_string(text, "measure", a->measure);
        sp_json_string(text, "moment", a->moment);
        break;
    case SP_TALK_OVERLAY: sp_json_raw(text, "shown", a->shown ? "true" : "false"); break;
    }
}

static void put_take(sp_text *text, const sp_kept_take *take) {
    sp_json_open(text, NULL, '{');
    if (take->take.voice[0] != '\0') sp_json_string(text, "voice", take->take.voice);
    sp_json_number(text, "length_s", take->take.length_s);
    sp_json_open(text, "actions", '[');
    for (size_t i = 0; i < take->actions.count; i++) {
        const sp_kept_action *item = take->actions.items[i];
        sp_json_open(text, NULL, '{');
        sp_json_number(text, "at_s", item->action.at_s);
        sp_json_string(text, "do", sp_words_at(&kinds, item->action.kind));
        put_own(text, item);
        sp_json_members(text, item->kept);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
    sp_json_members(text, take->kept);
    sp_json_close(text, '}');
}

static void put_talk(sp_text *text, const sp_talk *talk) {
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "format", SP_TALK_FORMAT);
    sp_json_number(text, "version", SP_TALK_VERSION);
    sp_json_string(text, "clip_sha256", talk->clip.sha256);
    sp_json_open(text, "takes", '[');
    for (size_t i = 0; i < talk->takes.count; i++) put_take(text, talk->takes.items[i]);
    sp_json_close(text, ']');
    sp_json_open(text, "pieces", '[');
    for (size_t i = 0; i < talk->pieces.count; i++) {
        const sp_talk_piece *piece = &talk->pieces.items[i];
        sp_json_open(text, NULL, '{');
        sp_json_number(text, "take", (double)piece->take);
        sp_json_number(text, "from_s", piece->from_s);
        sp_json_number(text, "to_s", piece->to_s);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
    sp_json_members(text, talk->kept);
    sp_json_close(text, '}');
}

bool sp_talk_write(const sp_talk *talk, const char *path, sp_error *error) {
    sp_text compact = {0}, text = {0};
    size_t values = 0;
    put_talk(&compact, talk);
    if (!compact.failed) sp_json_layout(&text, compact.bytes, &values);
    bool good = !compact.failed && !text.failed;
    if (!good) sp_fail(error, SP_ERROR_MEMORY, "no memory to write the talk-through");
    good = good && sp_file_write(path, sp_text_get(&text), text.length, error);
    sp_text_clear(&compact);
    sp_text_clear(&text);
    return good;
}
