#include "review/members.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "review/json.h"
#include "review/utf8.h"

static const cJSON *member(const cJSON *object, const char *name) {
    return cJSON_GetObjectItemCaseSensitive(object, name);
}

bool sp_members_need(const cJSON *object, const char *const *names, const sp_place *at,
                     sp_error *error) {
    for (; *names != NULL; names++)
        if (member(object, *names) == NULL)
            return sp_fail_at(at, *names, error, "expected this member, which is missing");
    return true;
}

bool sp_member_number(const cJSON *object, const char *name, double *value, const sp_place *at,
                      sp_error *error) {
    const cJSON *found = member(object, name);
    if (found == NULL) return true;
    if (!cJSON_IsNumber(found)) return sp_fail_at(at, name, error, "expected a number");
    *value = found->valuedouble;
    return true;
}

bool sp_member_whole(const cJSON *object, const char *name, int *value, const sp_place *at,
                     sp_error *error) {
    double number = *value;
    if (!sp_member_number(object, name, &number, at, error)) return false;
    if (number != floor(number) || number < INT_MIN || number > INT_MAX)
        return sp_fail_at(at, name, error, "expected a whole number, not %g", number);
    *value = (int)number;
    return true;
}

bool sp_member_text(const cJSON *object, const char *name, char *value, size_t size,
                    const sp_place *at, sp_error *error) {
    const cJSON *found = member(object, name);
    if (found == NULL) return true;
    if (!cJSON_IsString(found)) return sp_fail_at(at, name, error, "expected a text");
    if (sp_text_copy(value, size, found->valuestring)) return true;
    return sp_fail_at(at, name, error, "expected at most %zu bytes, not %zu", size - 1,
                      strlen(found->valuestring));
}

bool sp_member_word(const cJSON *object, const char *name, const sp_words *words, unsigned *value,
                    const sp_place *at, sp_error *error) {
    const cJSON *found = member(object, name);
    if (found == NULL) return true;
    if (cJSON_IsString(found) && sp_words_find(words, found->valuestring, value)) return true;
    char list[SP_WORDS_LIST_SIZE], shown[48];
    sp_words_list(words, list);
    if (!cJSON_IsString(found)) return sp_fail_at(at, name, error, "expected %s", list);
    return sp_fail_at(at, name, error, "expected %s, not '%s'", list,
                      sp_utf8_show(shown, sizeof shown, found->valuestring));
}

static bool coordinate(const cJSON *value, size_t index, double *to, const sp_place *at,
                       sp_error *error) {
    const sp_place place = {.up = at, .index = index};
    if (!cJSON_IsNumber(value)) return sp_fail_at(&place, NULL, error, "expected a number");
    *to = value->valuedouble;
    return true;
}

bool sp_read_point(const cJSON *value, sp_point *to, const sp_place *at, sp_error *error) {
    if (!cJSON_IsArray(value) || cJSON_GetArraySize(value) != 2)
        return sp_fail_at(at, NULL, error, "expected two numbers, [x, y]");
    return coordinate(value->child, 0, &to->x, at, error) &&
           coordinate(value->child->next, 1, &to->y, at, error);
}

bool sp_member_point(const cJSON *object, const char *name, sp_point *value, const sp_place *at,
                     sp_error *error) {
    const cJSON *found = member(object, name);
    if (found == NULL) return true;
    const sp_place place = {.up = at, .name = name};
    return sp_read_point(found, value, &place, error);
}

bool sp_member_object(const cJSON *object, const char *name, const cJSON **value,
                      const sp_place *at, sp_error *error) {
    *value = member(object, name);
    if (*value == NULL || cJSON_IsObject(*value)) return true;
    return sp_fail_at(at, name, error, "expected an object");
}

bool sp_member_array(const cJSON *object, const char *name, const cJSON **value, const sp_place *at,
                     sp_error *error) {
    *value = member(object, name);
    if (*value == NULL || cJSON_IsArray(*value)) return true;
    return sp_fail_at(at, name, error, "expected an array");
}

bool sp_is_object(const cJSON *value, const sp_place *at, sp_error *error) {
    return cJSON_IsObject(value) || sp_fail_at(at, NULL, error, "expected an object");
}

static bool is_known(const char *name, const char *const *known) {
    while (*known != NULL && strcmp(*known, name) != 0) known++;
    return *known != NULL;
}

bool sp_members_keep(const cJSON *object, const char *const *known, char **kept, sp_error *error) {
    sp_text text = {0};
    for (const cJSON *item = object->child; item != NULL; item = item->next)
        if (!is_known(item->string, known)) sp_json_tree(&text, item->string, item);
    const bool any = text.length > 0 || text.failed;
    *kept = any ? sp_text_detach(&text) : NULL;
    if (*kept != NULL || !any) return true;
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}
