#include "serveplumb/last_time.h"

#include <dirent.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "base/text.h"

#define ENDING ".review.json"
#define DAY_BYTES 10 /* "2027-03-14" */

static bool is_review(const char *name) {
    const size_t length = strlen(name), ending = strlen(ENDING);
    return name[0] != '.' && length > ending && strcmp(name + length - ending, ENDING) == 0;
}

/* Found without reading the whole as JSON, so that a long history costs little; what is found is
 * read strictly afterwards. */
static bool find_day(const char *text, char day[DAY_BYTES + 1]) {
    const char *member = strstr(text, "\"reviewed\"");
    for (const char *next = member; next != NULL; next = strstr(next + 1, "\"reviewed\""))
        member = next;
    if (member == NULL) return false;
    const char *value = strchr(member + strlen("\"reviewed\""), '"');
    if (value == NULL || strnlen(value + 1, DAY_BYTES) < DAY_BYTES) return false;
    memcpy(day, value + 1, DAY_BYTES);
    day[DAY_BYTES] = '\0';
    return true;
}

static bool same_player(const sp_review *one, const sp_review *other) {
    const sp_player *a = sp_review_get_player(one), *b = sp_review_get_player(other);
    return a->hand == b->hand &&
           (a->name[0] == '\0' || b->name[0] == '\0' || strcmp(a->name, b->name) == 0);
}

/* Keeps those of the latest day only. */
static void consider(sp_last_time *last, const sp_review *review, const char *path) {
    char *text, day[DAY_BYTES + 1];
    size_t length;
    const char *before = last->count == 0 ? "" : sp_review_get_reviewed(last->reviews[0]);
    if (!sp_file_read(path, SP_REVIEW_BYTES_MAX, &text, &length, NULL)) return;
    sp_review *found = NULL;
    if (find_day(text, day) && strcmp(day, sp_review_get_reviewed(review)) < 0 &&
        strcmp(day, before) >= 0)
        found = sp_review_parse(text, length, path, NULL);
    free(text);
    if (found == NULL) return;
    const char *its_day = sp_review_get_reviewed(found);
    const int later = strcmp(its_day, before);
    if (!same_player(found, review) || strcmp(its_day, sp_review_get_reviewed(review)) >= 0 ||
        later < 0 || (later == 0 && last->count == SP_LAST_TIME_MAX)) {
        sp_review_free(found);
        return;
    }
    if (later > 0) sp_last_time_free(last);
    last->reviews[last->count++] = found;
}

sp_last_time sp_last_time_read(const sp_review *review, const char *review_path) {
    sp_last_time last = {.count = 0};
    char folder[PATH_MAX], path[PATH_MAX + NAME_MAX + 2];
    if (sp_review_get_reviewed(review)[0] == '\0' ||
        !sp_text_copy(folder, sizeof folder, review_path))
        return last;
    char *slash = strrchr(folder, '/');
    if (slash == NULL)
        strcpy(folder, ".");
    else
        slash[slash == folder] = '\0';
    DIR *listing = opendir(folder);
    if (listing == NULL) return last;
    for (struct dirent *entry = readdir(listing); entry != NULL; entry = readdir(listing)) {
        if (!is_review(entry->d_name)) continue;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        consider(&last, review, path);
    }
    closedir(listing);
    return last;
}

void sp_last_time_free(sp_last_time *last) {
    for (size_t i = 0; i < last->count; i++) sp_review_free(last->reviews[i]);
    last->count = 0;
}

bool sp_last_time_ask(const sp_last_time *last, sp_findings *findings, sp_error *error) {
    for (size_t i = 0; i < last->count; i++)
        if (!sp_findings_ask(findings, last->reviews[i], error)) return false;
    return true;
}
