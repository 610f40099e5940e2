#include "readout/check_entry.h"

#include <string.h>

#include "review/members.h"
#include "review/utf8.h"
#include "review/words.h"

static const sp_words ABOUT = {2, {"serve", "measuring"}};
static const sp_words UNITS = {5,
                               {[SP_UNIT_DEGREE] = "deg",
                                [SP_UNIT_METRE] = "m",
                                [SP_UNIT_SECOND] = "s",
                                [SP_UNIT_METRE_PER_SECOND] = "m/s",
                                [SP_UNIT_RATIO] = "ratio"}};

bool sp_members_only(const cJSON *object, const char *const *known, const sp_place *at,
                     sp_error *error) {
    for (const cJSON *item = object->child; item != NULL; item = item->next) {
        size_t i = 0;
        while (known[i] != NULL && strcmp(known[i], item->string) != 0) i++;
        if (known[i] == NULL)
            return sp_fail_at(at, item->string, error,
                              "expected no member of this name; is it misspelt?");
    }
    return true;
}

bool sp_member_line(const cJSON *object, const char *name, char *value, size_t size,
                    const sp_place *at, sp_error *error) {
    value[0] = '\0';
    if (!sp_member_text(object, name, value, size, at, error)) return false;
    if (cJSON_GetObjectItemCaseSensitive(object, name) == NULL) return true;
    return (value[0] != '\0' && sp_utf8_is_plain(value, false)) ||
           sp_fail_at(at, name, error, "expected one line of text, not empty");
}

/* --- tests ----------------------------------------------------------------------------------- */
static const sp_measure_kind *find_kind(const char *id, const char *moment) {
    for (size_t i = 0; i < sp_catalogue_count(); i++) {
        const sp_measure_kind *kind = sp_catalogue_at(i);
        if (strcmp(kind->id, id) == 0 && strcmp(kind->moment, moment) == 0) return kind;
    }
    return NULL;
}

static bool read_limit(const cJSON *object, sp_check_limit *limit, const sp_place *at,
                       sp_error *error) {
    static const char *const needed[] = {"measure", "moment", NULL};
    char id[SP_REVIEW_ID_MAX], moment[SP_REVIEW_ID_MAX] = "";
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_member_line(object, "measure", id, sizeof id, at, error) ||
        !sp_member_text(object, "moment", moment, sizeof moment, at, error) ||
        !sp_member_number(object, "low", &limit->low, at, error) ||
        !sp_member_number(object, "high", &limit->high, at, error))
        return false;
    limit->kind = find_kind(id, moment);
    if (limit->kind == NULL)
        return sp_fail_at(at, "measure", error,
                          "expected a measure of this moment ('serveplumb measure' lists them)");
    limit->has_low = cJSON_GetObjectItemCaseSensitive(object, "low") != NULL;
    limit->has_high = cJSON_GetObjectItemCaseSensitive(object, "high") != NULL;
    return !limit->has_low || !limit->has_high || limit->low < limit->high ||
           sp_fail_at(at, "high", error, "expected a number above low, %g, not %g", limit->low,
                      limit->high);
}

static bool read_test(const cJSON *object, sp_check_test *test, const sp_place *at,
                      sp_error *error) {
    static const char *const known[] = {"measure", "moment", "low", "high", "instead", NULL};
    static const char *const of_instead[] = {"measure", "moment", "low", "high", NULL};
    const sp_place place = {.up = at, .name = "instead"};
    const cJSON *instead;
    if (!read_limit(object, &test->limit, at, error) ||
        !sp_members_only(object, known, at, error) ||
        !sp_member_object(object, "instead", &instead, at, error))
        return false;
    return instead == NULL || (read_limit(instead, &test->instead, &place, error) &&
                               sp_members_only(instead, of_instead, &place, error));
}

static bool read_tests(const cJSON *object, sp_check *check, const sp_place *up, sp_error *error) {
    const sp_place at = {.up = up, .name = "tests"};
    const cJSON *array;
    if (!sp_member_array(object, "tests", &array, up, error)) return false;
    if (array != NULL && cJSON_GetArraySize(array) > SP_FINDING_MEASURES_MAX)
        return sp_fail_at(up, "tests", error, "expected at most %d", SP_FINDING_MEASURES_MAX);
    const cJSON *item = array == NULL ? NULL : array->child;
    bool limits = item == NULL;
    for (; item != NULL; item = item->next) {
        const sp_place place = {.up = &at, .index = (size_t)check->test_count};
        sp_check_test *test = &check->tests[check->test_count++];
        if (!read_test(item, test, &place, error)) return false;
        limits = limits || test->limit.has_low || test->limit.has_high;
    }
    return limits || sp_fail_at(up, "tests", error,
                                "expected low or high in one of them, or no tests for a check "
                                "by eye");
}

/* --- published values ------------------------------------------------------------------------ */
static bool read_value(const cJSON *object, sp_check_published *value, const sp_place *at,
                       sp_error *error) {
    static const char *const needed[] = {"name", "value", "unit", "among", "source", NULL};
    static const char *const known[] = {"name", "value", "sd",     "unit",
                                        "from", "among", "source", NULL};
    unsigned unit = 0;
    if (!sp_is_object(object, at, error) || !sp_members_need(object, needed, at, error) ||
        !sp_members_only(object, known, at, error) ||
        !sp_member_line(object, "name", value->name, sizeof value->name, at, error) ||
        !sp_member_number(object, "value", &value->value, at, error) ||
        !sp_member_number(object, "sd", &value->sd, at, error) ||
        !sp_member_number(object, "from", &value->from, at, error) ||
        !sp_member_word(object, "unit", &UNITS, &unit, at, error) ||
        !sp_member_line(object, "among", value->among, sizeof value->among, at, error) ||
        !sp_member_line(object, "source", value->source, sizeof value->source, at, error))
        return false;
    value->unit = (sp_unit)unit;
    return value->sd >= 0 || sp_fail_at(at, "sd", error, "expected 0 or more");
}

static bool read_published(const cJSON *object, sp_check *check, const sp_place *up,
                           sp_error *error) {
    const sp_place at = {.up = up, .name = "published"};
    const cJSON *array;
    if (!sp_member_array(object, "published", &array, up, error)) return false;
    if (array != NULL && cJSON_GetArraySize(array) > SP_CHECK_PUBLISHED_MAX)
        return sp_fail_at(up, "published", error, "expected at most %d", SP_CHECK_PUBLISHED_MAX);
    const cJSON *item = array == NULL ? NULL : array->child;
    for (; item != NULL; item = item->next) {
        const sp_place place = {.up = &at, .index = (size_t)check->published_count};
        if (!read_value(item, &check->published[check->published_count++], &place, error))
            return false;
    }
    return true;
}

/* --- the rest -------------------------------------------------------------------------------- */
static bool read_views(const cJSON *object, unsigned *views, const sp_place *up, sp_error *error) {
    const sp_place at = {.up = up, .name = "views"};
    const cJSON *array;
    if (!sp_member_array(object, "views", &array, up, error)) return false;
    size_t i = 0;
    for (const cJSON *item = array->child; item != NULL; item = item->next) {
        const sp_place place = {.up = &at, .index = i++};
        sp_view view;
        if (!cJSON_IsString(item) || !sp_view_find(item->valuestring, &view))
            return sp_fail_at(&place, NULL, error, "expected side, back, front or oblique");
        *views |= SP_VIEW_BIT(view);
    }
    return *views != 0 || sp_fail_at(up, "views", error, "expected one view at least");
}

static bool limit_fits(const sp_check_limit *limit, unsigned views) {
    const bool has_limit = limit->kind != NULL && (limit->has_low || limit->has_high);
    return !has_limit || (views & ~limit->kind->views) == 0;
}

/* A check holds from no view from which one of its measures cannot be had. */
static bool views_fit(const sp_check *check, const sp_place *at, sp_error *error) {
    for (int i = 0; i < check->test_count; i++)
        if (!limit_fits(&check->tests[i].limit, check->views) ||
            !limit_fits(&check->tests[i].instead, check->views))
            return sp_fail_at(at, "views", error, "expected only views from which %s can be had",
                              check->tests[i].limit.kind->title);
    return true;
}

static bool read_weight(const cJSON *object, sp_check *check, const sp_place *at, sp_error *error) {
    unsigned about = 0;
    if (!sp_member_whole(object, "weight", &check->weight, at, error) ||
        !sp_member_word(object, "about", &ABOUT, &about, at, error))
        return false;
    check->of_measuring = about == 1;
    return (check->weight >= 0 && check->weight <= SP_CHECK_WEIGHT_MAX) ||
           sp_fail_at(at, "weight", error, "expected a whole number from 0 to %d, not %d",
                      SP_CHECK_WEIGHT_MAX, check->weight);
}

static bool read_texts(const cJSON *object, sp_check *check, const sp_place *at, sp_error *error) {
    return sp_member_line(object, "id", check->id, sizeof check->id, at, error) &&
           sp_member_line(object, "title", check->title, sizeof check->title, at, error) &&
           sp_member_text(object, "moment", check->moment, sizeof check->moment, at, error) &&
           sp_member_line(object, "looked_for", check->looked_for, sizeof check->looked_for, at,
                          error) &&
           sp_member_line(object, "source", check->source, sizeof check->source, at, error) &&
           sp_member_line(object, "why", check->why, sizeof check->why, at, error) &&
           sp_member_line(object, "work", check->work, sizeof check->work, at, error) &&
           sp_member_line(object, "caution", check->caution, sizeof check->caution, at, error);
}

bool sp_check_read_entry(const cJSON *object, sp_check *check, const sp_place *at,
                         sp_error *error) {
    static const char *const needed[] = {"id",         "title",  "moment", "views", "weight",
                                         "looked_for", "source", "why",    "work",  NULL};
    static const char *const known[] = {"id",    "title", "moment",     "views",  "weight",
                                        "about", "tests", "looked_for", "source", "published",
                                        "why",   "work",  "caution",    NULL};
    *check = (sp_check){.weight = 0};
    return sp_is_object(object, at, error) && sp_members_need(object, needed, at, error) &&
           sp_members_only(object, known, at, error) && read_texts(object, check, at, error) &&
           read_views(object, &check->views, at, error) && read_weight(object, check, at, error) &&
           read_tests(object, check, at, error) && views_fit(check, at, error) &&
           read_published(object, check, at, error);
}

bool sp_check_loads_shoulder(const sp_check *check) {
    bool of_drop = strcmp(check->moment, "drop") == 0;
    for (int i = 0; i < check->test_count; i++) {
        const sp_check_limit *limit = &check->tests[i].limit, *instead = &check->tests[i].instead;
        of_drop = of_drop || strcmp(limit->kind->moment, "drop") == 0 ||
                  (instead->kind != NULL && strcmp(instead->kind->moment, "drop") == 0);
    }
    return of_drop;
}
