#include <locale.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "review/json.h"
#include "review/place.h"

/* Goes through the tree in the order of the text and gives each number back what it was. */
typedef struct {
    const char *text;
    const sp_json_numbers *numbers;
    size_t next;
    locale_t locale; /* "C" */
    sp_error *error;
} tree_walk;

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the review");
}

static bool restore_number(tree_walk *walk, cJSON *item, const sp_place *at) {
    const char *text = walk->text + walk->numbers->offsets[walk->next++];
    const size_t length = strspn(text, "0123456789+-.eE");
    item->valuedouble = strtod_l(text, NULL, walk->locale);
    if (!isfinite(item->valuedouble))
        return sp_fail_at(at, NULL, walk->error, "expected a finite number");
    item->valuestring = cJSON_malloc(length + 1);
    if (item->valuestring == NULL) return no_memory(walk->error);
    memcpy(item->valuestring, text, length);
    item->valuestring[length] = '\0';
    return true;
}

static int compare_names(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Sorted, so that an object of a million members takes no longer than its reading. */
static bool has_no_duplicates(const tree_walk *walk, const cJSON *object, const sp_place *at) {
    const size_t count = (size_t)cJSON_GetArraySize(object);
    if (count < 2) return true;
    const char **names = malloc(count * sizeof *names);
    if (names == NULL) return no_memory(walk->error);
    size_t i = 0;
    for (const cJSON *item = object->child; item != NULL; item = item->next)
        names[i++] = item->string;
    qsort(names, count, sizeof *names, compare_names);
    bool good = true;
    for (i = 1; good && i < count; i++)
        if (strcmp(names[i - 1], names[i]) == 0)
            good = sp_fail_at(at, names[i], walk->error, "expected this member only once");
    free(names);
    return good;
}

static bool restore(tree_walk *walk, cJSON *value, const sp_place *at) {
    if (cJSON_IsNumber(value)) return restore_number(walk, value, at);
    if (cJSON_IsObject(value) && !has_no_duplicates(walk, value, at)) return false;
    if (!cJSON_IsObject(value) && !cJSON_IsArray(value)) return true;
    size_t index = 0;
    for (cJSON *item = value->child; item != NULL; item = item->next, index++) {
        const sp_place place = {.up = at, .name = item->string, .index = index};
        if (!restore(walk, item, &place)) return false;
    }
    return true;
}

static bool restore_all(cJSON *tree, const char *text, const sp_json_numbers *numbers,
                        const char *name, sp_error *error) {
    const locale_t locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (locale == (locale_t)0) return no_memory(error);
    tree_walk walk = {.text = text, .numbers = numbers, .locale = locale, .error = error};
    const sp_place root = {.name = name};
    const bool good = restore(&walk, tree, &root);
    freelocale(locale);
    return good;
}

/* cJSON reads what sp_json_scan left; after that scan it only fails for want of memory. */
static cJSON *parse_scanned(const char *text, char *scanned, size_t length, const char *name,
                            const sp_json_numbers *numbers, sp_error *error) {
    cJSON *tree = cJSON_ParseWithLengthOpts(scanned, length + 1, NULL, true);
    if (tree == NULL) {
        no_memory(error);
        return NULL;
    }
    if (restore_all(tree, text, numbers, name, error)) return tree;
    cJSON_Delete(tree);
    return NULL;
}

cJSON *sp_json_parse(const char *text, size_t length, const char *name, sp_error *error) {
    char *original = length < SIZE_MAX ? malloc(length + 1) : NULL;
    char *scanned = original != NULL ? malloc(length + 1) : NULL;
    sp_json_numbers numbers = {0};
    cJSON *tree = NULL;
    if (scanned == NULL) {
        no_memory(error);
    } else {
        memcpy(original, text, length);
        original[length] = '\0';
        memcpy(scanned, original, length + 1);
        if (sp_json_scan(scanned, length, name, &numbers, error))
            tree = parse_scanned(original, scanned, length, name, &numbers, error);
    }
    free(numbers.offsets);
    free(scanned);
    free(original);
    return tree;
}
