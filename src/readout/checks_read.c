/* From the text of a checks file to the checks: strictly, so that a slip of the pen is told and not
 * skipped. */
#include <string.h>

#include "readout/check_entry.h"
#include "readout/checks.h"
#include "review/json.h"
#include "review/members.h"

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the checks");
}

static size_t index_of(const sp_checks *checks, const char *id) {
    size_t i = 0;
    while (i < checks->count && strcmp(checks->items[i].id, id) != 0) i++;
    return i;
}

/* --- the file -------------------------------------------------------------------------------- */
static bool read_head(const cJSON *root, const sp_place *at, sp_error *error) {
    static const char *const needed[] = {"format", "version", "checks", NULL};
    char format[sizeof SP_CHECKS_FORMAT + 8] = "";
    int version = 0;
    if (!sp_is_object(root, at, error) || !sp_members_need(root, needed, at, error) ||
        !sp_member_text(root, "format", format, sizeof format, at, error) ||
        !sp_member_whole(root, "version", &version, at, error))
        return false;
    if (strcmp(format, SP_CHECKS_FORMAT) != 0)
        return sp_fail_at(at, "format", error, "expected \"" SP_CHECKS_FORMAT "\"");
    return version == SP_CHECKS_VERSION ||
           sp_fail_at(at, "version", error, "expected %d, not %d", SP_CHECKS_VERSION, version);
}

static bool read_cautions(const cJSON *root, sp_check_cautions *cautions, const sp_place *root_at,
                          sp_error *error) {
    static const char *const known[] = {"drop", "all", NULL};
    static const char *const of_drop[] = {"healthy", "otherwise", "source", NULL};
    const sp_place at = {.up = root_at, .name = "cautions"};
    const sp_place drop_at = {.up = &at, .name = "drop"};
    const cJSON *object, *drop;
    return sp_member_object(root, "cautions", &object, root_at, error) &&
           sp_members_need(object, known, &at, error) &&
           sp_members_only(object, known, &at, error) &&
           sp_member_object(object, "drop", &drop, &at, error) &&
           sp_members_need(drop, of_drop, &drop_at, error) &&
           sp_members_only(drop, of_drop, &drop_at, error) &&
           sp_member_line(drop, "healthy", cautions->drop_healthy, sizeof cautions->drop_healthy,
                          &drop_at, error) &&
           sp_member_line(drop, "otherwise", cautions->drop_otherwise,
                          sizeof cautions->drop_otherwise, &drop_at, error) &&
           sp_member_line(drop, "source", cautions->drop_source, sizeof cautions->drop_source,
                          &drop_at, error) &&
           sp_member_line(object, "all", cautions->all, sizeof cautions->all, &at, error);
}

/* --- built in -------------------------------------------------------------------------------- */
static bool add_builtin(sp_checks *checks, const cJSON *object, const sp_place *at,
                        sp_error *error) {
    if (checks->count == SP_CHECKS_MAX)
        return sp_fail_at(at, NULL, error, "expected at most %d checks", SP_CHECKS_MAX);
    sp_check *check = &checks->items[checks->count];
    if (!sp_check_read_entry(object, check, at, error)) return false;
    if (index_of(checks, check->id) < checks->count)
        return sp_fail_at(at, "id", error, "expected an id that no other check has");
    checks->count++;
    return true;
}

static bool read_builtin(sp_checks *checks, const cJSON *root, const sp_place *root_at,
                         sp_error *error) {
    static const char *const known[] = {"format", "version", "cautions", "checks", NULL};
    const sp_place at = {.up = root_at, .name = "checks"};
    const cJSON *array;
    if (!read_head(root, root_at, error) || !sp_members_need(root, known, root_at, error) ||
        !sp_members_only(root, known, root_at, error) ||
        !read_cautions(root, &checks->cautions, root_at, error) ||
        !sp_member_array(root, "checks", &array, root_at, error))
        return false;
    const cJSON *object = array->child;
    for (size_t i = 0; object != NULL; object = object->next, i++) {
        const sp_place place = {.up = &at, .index = i};
        if (!add_builtin(checks, object, &place, error)) return false;
    }
    return true;
}

bool sp_checks_read_builtin(sp_checks *checks, const char *text, size_t length, sp_error *error) {
    const char *name = "the built-in checks";
    const sp_place at = {.name = name};
    cJSON *root = sp_json_parse(text, length, name, error);
    const bool good = root != NULL && read_builtin(checks, root, &at, error);
    if (!good) checks->count = 0;
    cJSON_Delete(root);
    return good;
}

bool sp_cautions_read_builtin(sp_check_cautions *cautions, sp_error *error) {
    const char *name = "the built-in checks";
    const sp_place at = {.name = name};
    cJSON *root = sp_json_parse(sp_checks_builtin, strlen(sp_checks_builtin), name, error);
    const bool good = root != NULL && read_cautions(root, cautions, &at, error);
    cJSON_Delete(root);
    return good;
}

/* --- the coach's own ------------------------------------------------------------------------- */
static const cJSON *entry_of(const cJSON *builtin, const char *id) {
    const cJSON *array = cJSON_GetObjectItemCaseSensitive(builtin, "checks");
    for (const cJSON *item = array->child; item != NULL; item = item->next)
        if (strcmp(cJSON_GetObjectItemCaseSensitive(item, "id")->valuestring, id) == 0) return item;
    return NULL;
}

/* Takes the item, also on failure. */
static bool put_member(cJSON *object, const char *name, cJSON *item) {
    if (item == NULL) return false;
    const bool put = cJSON_GetObjectItemCaseSensitive(object, name) != NULL
                         ? cJSON_ReplaceItemInObjectCaseSensitive(object, name, item)
                         : cJSON_AddItemToObject(object, name, item);
    if (!put) cJSON_Delete(item);
    return put;
}

/* The built-in entry (NULL: none) with the members of the coach's own. A publication does not stand
 * behind limits that are not its own. NULL without memory. */
static cJSON *merge(const cJSON *builtin, const cJSON *own) {
    cJSON *merged = builtin == NULL ? cJSON_CreateObject() : cJSON_Duplicate(builtin, true);
    bool good = merged != NULL;
    if (good && builtin != NULL && cJSON_GetObjectItemCaseSensitive(own, "tests") != NULL)
        good = put_member(merged, "source", cJSON_CreateString("limits of the coach's own"));
    for (const cJSON *item = own->child; good && item != NULL; item = item->next)
        if (strcmp(item->string, "off") != 0)
            good = put_member(merged, item->string, cJSON_Duplicate(item, true));
    if (good) return merged;
    cJSON_Delete(merged);
    return NULL;
}

static bool is_off(const cJSON *own, bool *off, const sp_place *at, sp_error *error) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(own, "off");
    *off = cJSON_IsTrue(item);
    return item == NULL || cJSON_IsBool(item) ||
           sp_fail_at(at, "off", error, "expected true or false");
}

static void take_out(sp_checks *checks, size_t index) {
    if (index == checks->count) return;
    checks->count--;
    memmove(&checks->items[index], &checks->items[index + 1],
            (checks->count - index) * sizeof checks->items[0]);
}

static bool put_in(sp_checks *checks, size_t index, const cJSON *builtin, const cJSON *own,
                   const sp_place *at, sp_error *error) {
    if (index == SP_CHECKS_MAX)
        return sp_fail_at(at, NULL, error, "expected at most %d checks in all", SP_CHECKS_MAX);
    cJSON *merged = merge(builtin, own);
    if (merged == NULL) return no_memory(error);
    const bool good = sp_check_read_entry(merged, &checks->items[index], at, error);
    cJSON_Delete(merged);
    if (good && index == checks->count) checks->count++;
    return good;
}

static bool comes_again(const cJSON *object, const char *id) {
    for (object = object->next; object != NULL; object = object->next) {
        const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, "id");
        if (cJSON_IsString(item) && strcmp(item->valuestring, id) == 0) return true;
    }
    return false;
}

static bool change(sp_checks *checks, const cJSON *builtin, const cJSON *own, const sp_place *at,
                   sp_error *error) {
    static const char *const needed[] = {"id", NULL};
    char id[SP_REVIEW_ID_MAX];
    bool off;
    if (!sp_is_object(own, at, error) || !sp_members_need(own, needed, at, error) ||
        !sp_member_line(own, "id", id, sizeof id, at, error) || !is_off(own, &off, at, error))
        return false;
    if (comes_again(own, id))
        return sp_fail_at(at, "id", error, "expected an id that no other check of the file has");
    const size_t index = index_of(checks, id);
    if (off) {
        take_out(checks, index);
        return true;
    }
    return put_in(checks, index, entry_of(builtin, id), own, at, error);
}

static bool read_own(sp_checks *checks, const cJSON *builtin, const cJSON *root,
                     const sp_place *root_at, sp_error *error) {
    static const char *const known[] = {"format", "version", "checks", NULL};
    const sp_place at = {.up = root_at, .name = "checks"};
    const cJSON *array;
    if (!read_head(root, root_at, error)) return false;
    if (cJSON_GetObjectItemCaseSensitive(root, "cautions") != NULL)
        return sp_fail_at(root_at, "cautions", error,
                          "expected no such member: the cautions are the same for everyone");
    if (!sp_members_only(root, known, root_at, error) ||
        !sp_member_array(root, "checks", &array, root_at, error))
        return false;
    const cJSON *object = array->child;
    for (size_t i = 0; object != NULL; object = object->next, i++) {
        const sp_place place = {.up = &at, .index = i};
        if (!change(checks, builtin, object, &place, error)) return false;
    }
    return true;
}

bool sp_checks_read_own(sp_checks *checks, const char *builtin, size_t builtin_length,
                        const char *text, size_t length, const char *name, sp_error *error) {
    const sp_place at = {.name = name};
    cJSON *own = sp_json_parse(text, length, name, error);
    cJSON *base = own == NULL ? NULL : sp_json_parse(builtin, builtin_length, "checks", error);
    const bool good = base != NULL && read_own(checks, base, own, &at, error);
    cJSON_Delete(base);
    cJSON_Delete(own);
    return good;
}
