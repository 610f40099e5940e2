#include "serveplumb/preferences.h"

#include <string.h>

#include <cjson/cJSON.h>

#include "base/text.h"
#include "review/small_file.h"

sp_preferences sp_preferences_default(void) {
    return (sp_preferences){.text_factor = 1, .points_sd_px = 1.5};
}

/* --- members ---------------------------------------------------------------------------------- */
static bool wrong(const char *name, const char *expected, sp_error *error) {
    return sp_fail(error, SP_ERROR_FORMAT,
                   "preferences: '%s' has to be %s; mend it or take it out of the file", name,
                   expected);
}

static bool read_word(const cJSON *tree, const char *name, const char *no, const char *yes,
                      bool *value, sp_error *error) {
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(tree, name);
    if (member == NULL) return true;
    const char *word = cJSON_GetStringValue(member);
    char expected[64] = "\"";
    strncat(expected, no, 20);
    strncat(expected, "\" or \"", 8);
    strncat(expected, yes, 20);
    strncat(expected, "\"", 2);
    if (word == NULL || (strcmp(word, no) != 0 && strcmp(word, yes) != 0))
        return wrong(name, expected, error);
    *value = strcmp(word, yes) == 0;
    return true;
}

static bool read_number(const cJSON *tree, const char *name, double least, double most,
                        const char *expected, double *value, sp_error *error) {
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(tree, name);
    if (member == NULL) return true;
    if (!cJSON_IsNumber(member) || !(member->valuedouble >= least && member->valuedouble <= most))
        return wrong(name, expected, error);
    *value = member->valuedouble;
    return true;
}

static bool read_truth(const cJSON *tree, const char *name, bool *value, sp_error *error) {
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(tree, name);
    if (member == NULL) return true;
    if (!cJSON_IsBool(member)) return wrong(name, "true or false", error);
    *value = cJSON_IsTrue(member);
    return true;
}

static bool read_microphone(const cJSON *tree, sp_preferences *p, sp_error *error) {
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(tree, "microphone");
    const char *name = cJSON_GetStringValue(member);
    bool voice = true;
    if (member != NULL &&
        (name == NULL || !sp_text_copy(p->microphone, sizeof p->microphone, name)))
        return wrong("microphone", "a name of up to 255 bytes, \"\" for the system's choice",
                     error);
    const bool good = read_truth(tree, "voice", &voice, error);
    p->voiceless = !voice;
    return good;
}

static bool read_view(const cJSON *tree, sp_view *view, sp_error *error) {
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(tree, "view");
    const char *word = cJSON_GetStringValue(member);
    if (member == NULL || (word != NULL && sp_view_find(word, view))) return true;
    return wrong("view", "\"side\", \"back\", \"front\" or \"oblique\"", error);
}

static bool read_members(const cJSON *tree, sp_preferences *p, sp_error *error) {
    bool left = false;
    double cache_mb = 0;
    if (!read_word(tree, "units", "metric", "imperial", &p->imperial, error) ||
        !read_word(tree, "theme", "dark", "light", &p->light, error) ||
        !read_word(tree, "hand", "right", "left", &left, error) ||
        !read_view(tree, &p->view, error) || !read_truth(tree, "guided", &p->guided, error) ||
        !read_microphone(tree, p, error) ||
        !read_number(tree, "text", 0.85, 2, "a number from 0.85 to 2", &p->text_factor, error) ||
        !read_number(tree, "points_sd_px", 0.1, 50, "a number of pixels from 0.1 to 50",
                     &p->points_sd_px, error) ||
        !read_number(tree, "cache_mb", 64, 65536, "a number of megabytes from 64 to 65536",
                     &cache_mb, error))
        return false;
    p->hand = left ? SP_HAND_LEFT : SP_HAND_RIGHT;
    p->cache_mb = (int)cache_mb;
    return true;
}

/* --- files ------------------------------------------------------------------------------------ */

bool sp_preferences_read(const char *path, sp_preferences *preferences, sp_error *error) {
    *preferences = sp_preferences_default();
    cJSON *tree = sp_small_read(path, error);
    if (tree == NULL) return false;
    const bool good = read_members(tree, preferences, error);
    if (!good) *preferences = sp_preferences_default();
    cJSON_Delete(tree);
    return good;
}

static bool put(cJSON *tree, const char *name, cJSON *value) {
    if (value == NULL) return false;
    if (cJSON_GetObjectItemCaseSensitive(tree, name) == NULL)
        return cJSON_AddItemToObject(tree, name, value);
    return cJSON_ReplaceItemInObjectCaseSensitive(tree, name, value);
}

static bool put_members(cJSON *tree, const sp_preferences *p) {
    if (p->cache_mb == 0)
        cJSON_DeleteItemFromObjectCaseSensitive(tree, "cache_mb");
    else if (!put(tree, "cache_mb", cJSON_CreateNumber(p->cache_mb)))
        return false;
    return put(tree, "units", cJSON_CreateString(p->imperial ? "imperial" : "metric")) &&
           put(tree, "theme", cJSON_CreateString(p->light ? "light" : "dark")) &&
           put(tree, "text", cJSON_CreateNumber(p->text_factor)) &&
           put(tree, "hand", cJSON_CreateString(sp_hand_id(p->hand))) &&
           put(tree, "view", cJSON_CreateString(sp_view_id(p->view))) &&
           put(tree, "points_sd_px", cJSON_CreateNumber(p->points_sd_px)) &&
           put(tree, "guided", cJSON_CreateBool(p->guided)) &&
           put(tree, "microphone", cJSON_CreateString(p->microphone)) &&
           put(tree, "voice", cJSON_CreateBool(!p->voiceless));
}

bool sp_preferences_write(const char *path, const sp_preferences *preferences, sp_error *error) {
    cJSON *tree = sp_small_read(path, error);
    if (tree == NULL) return false;
    const bool good = put_members(tree, preferences)
                          ? sp_small_write(path, tree, error)
                          : sp_fail(error, SP_ERROR_MEMORY, "no memory for the preferences");
    cJSON_Delete(tree);
    return good;
}
