/* The clips that were open last. */
#include <string.h>

#include "base/text.h"
#include "review/small_file.h"
#include "serveplumb/preferences.h"

static void read_clip(const cJSON *item, sp_recent *recent) {
    const char *path = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(item, "clip"));
    const char *hash = cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(item, "sha256"));
    if (recent->count == SP_RECENT_MAX || path == NULL || hash == NULL || path[0] != '/' ||
        strlen(path) >= sizeof recent->at->path || strlen(hash) != sizeof recent->at->sha256 - 1)
        return;
    sp_recent_clip *clip = &recent->at[recent->count++];
    sp_text_copy(clip->path, sizeof clip->path, path);
    sp_text_copy(clip->sha256, sizeof clip->sha256, hash);
    clip->real_time = cJSON_IsTrue(cJSON_GetObjectItemCaseSensitive(item, "real_time"));
}

void sp_recent_read(const char *path, sp_recent *recent) {
    *recent = (sp_recent){.count = 0};
    cJSON *tree = sp_small_read(path, NULL);
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(tree, "clips");
    for (const cJSON *item = list == NULL ? NULL : list->child; item != NULL; item = item->next)
        read_clip(item, recent);
    cJSON_Delete(tree);
}

static cJSON *clip_item(const sp_recent_clip *clip) {
    cJSON *item = cJSON_CreateObject();
    cJSON_AddStringToObject(item, "clip", clip->path);
    cJSON_AddStringToObject(item, "sha256", clip->sha256);
    if (clip->real_time) cJSON_AddTrueToObject(item, "real_time");
    return item;
}

bool sp_recent_write(const char *path, const sp_recent *recent, sp_error *error) {
    cJSON *tree = cJSON_CreateObject();
    cJSON *list = cJSON_AddArrayToObject(tree, "clips");
    for (int i = 0; i < recent->count; i++) cJSON_AddItemToArray(list, clip_item(&recent->at[i]));
    const bool good = sp_small_write(path, tree, error);
    cJSON_Delete(tree);
    return good;
}

void sp_recent_put(sp_recent *recent, const sp_recent_clip *clip) {
    const sp_recent_clip first = *clip;
    int kept = 0;
    for (int i = 0; i < recent->count; i++)
        if (strcmp(recent->at[i].sha256, first.sha256) != 0) recent->at[kept++] = recent->at[i];
    if (kept == SP_RECENT_MAX) kept--;
    memmove(&recent->at[1], &recent->at[0], (size_t)kept * sizeof recent->at[0]);
    recent->at[0] = first;
    recent->count = kept + 1;
}

const sp_recent_clip *sp_recent_find(const sp_recent *recent, const char *sha256) {
    for (int i = 0; i < recent->count; i++)
        if (strcmp(recent->at[i].sha256, sha256) == 0) return &recent->at[i];
    return NULL;
}
