#include "readout/checks.h"

#include <assert.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"

/* Enough for a hundred long checks. */
#define OWN_BYTES_MAX ((size_t)1 << 20)

static sp_checks *empty(void) {
    sp_checks *checks = calloc(1, sizeof *checks);
    if (checks != NULL) checks->items = calloc(SP_CHECKS_MAX, sizeof *checks->items);
    if (checks != NULL && checks->items != NULL) return checks;
    free(checks);
    return NULL;
}

/* On failure `checks` is as it was. */
static bool change_by(sp_checks *checks, const char *path, sp_error *fault) {
    char *text = NULL;
    size_t length;
    sp_checks *changed = empty();
    bool good = changed != NULL && sp_file_read(path, OWN_BYTES_MAX, &text, &length, fault);
    if (good) {
        changed->count = checks->count;
        changed->cautions = checks->cautions;
        memcpy(changed->items, checks->items, checks->count * sizeof *checks->items);
        good = sp_checks_read_own(changed, sp_checks_builtin, strlen(sp_checks_builtin), text,
                                  length, path, fault);
    } else if (changed == NULL) {
        sp_fail(fault, SP_ERROR_MEMORY, "no memory to read '%s'", path);
    }
    if (good) {
        const sp_checks kept = *checks;
        *checks = *changed;
        *changed = kept;
    }
    sp_checks_free(changed);
    free(text);
    return good;
}

sp_checks *sp_checks_new(const char *own_path, sp_error *own_fault, sp_error *error) {
    sp_checks *checks = empty();
    if (checks == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory for the checks");
        return NULL;
    }
    if (!sp_checks_read_builtin(checks, sp_checks_builtin, strlen(sp_checks_builtin), error)) {
        sp_checks_free(checks);
        return NULL;
    }
    if (own_path == NULL || (access(own_path, F_OK) != 0 && errno == ENOENT)) return checks;
    sp_error fault = {0};
    if (!change_by(checks, own_path, &fault))
        sp_fail(own_fault, fault.code, "%.*s; the built-in checks are used", 560, fault.message);
    return checks;
}

void sp_checks_free(sp_checks *checks) {
    if (checks == NULL) return;
    free(checks->items);
    free(checks);
}

bool sp_checks_own_path(char *path, size_t size) {
    const char *config = getenv("XDG_CONFIG_HOME"), *home = getenv("HOME");
    int length = -1;
    if (config != NULL && config[0] == '/') /* the specification: relative ones are ignored */
        length = snprintf(path, size, "%s/serveplumb/checks.json", config);
    else if (home != NULL && home[0] == '/')
        length = snprintf(path, size, "%s/.config/serveplumb/checks.json", home);
    return length >= 0 && (size_t)length < size;
}

size_t sp_checks_count(const sp_checks *checks) { return checks->count; }

const sp_check *sp_checks_at(const sp_checks *checks, size_t index) {
    assert(index < checks->count);
    return &checks->items[index];
}

const sp_check *sp_checks_find(const sp_checks *checks, const char *id) {
    for (size_t i = 0; i < checks->count; i++)
        if (strcmp(checks->items[i].id, id) == 0) return &checks->items[i];
    return NULL;
}

const char *sp_check_get_id(const sp_check *check) { return check->id; }
const char *sp_check_get_title(const sp_check *check) { return check->title; }
const char *sp_check_get_moment(const sp_check *check) { return check->moment; }
const char *sp_check_get_looked_for(const sp_check *check) { return check->looked_for; }
const char *sp_check_get_source(const sp_check *check) { return check->source; }
unsigned sp_check_get_views(const sp_check *check) { return check->views; }
int sp_check_get_weight(const sp_check *check) { return check->weight; }
bool sp_check_is_by_eye(const sp_check *check) { return check->test_count == 0; }

size_t sp_check_points(const sp_check *check, sp_hand hand, sp_point_name points[SP_POINT_COUNT]) {
    bool wanted[SP_POINT_COUNT] = {false};
    size_t count = 0;
    for (int t = 0; t < check->test_count; t++) {
        const sp_measure_kind *kind = check->tests[t].limit.kind;
        for (int i = 0; i < kind->point_count; i++) wanted[kind->points[i]] = true;
    }
    for (int i = 0; i < SP_POINT_COUNT; i++)
        if (wanted[i]) points[count++] = sp_point_for_hand((sp_point_name)i, hand);
    return count;
}

size_t sp_check_measures(const sp_check *check, const sp_measure_kind **list, size_t room) {
    size_t count = 0;
    for (int t = 0; t < check->test_count; t++) {
        const sp_check_limit *limit = &check->tests[t].limit;
        if (!limit->has_low && !limit->has_high) continue; /* only shown */
        if (count < room) list[count] = limit->kind;
        count++;
    }
    return count;
}
