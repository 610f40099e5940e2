#include "deliver/kept_readout.h"

#include <limits.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "deliver/kept.h"
#include "serveplumb/history.h"

bool sp_kept_readout_key(sp_text *key, const char *review_bytes, size_t length,
                         const sp_clip_stamp *clip) {
    sp_text_append(key, "readout");
    return sp_kept_put_parts(key, review_bytes, length, clip);
}

sp_readout *sp_kept_readout_take(const sp_text *key) {
    char *bytes;
    size_t length;
    if (!sp_kept_read(sp_text_get(key), &bytes, &length)) return NULL;
    sp_readout *readout = sp_readout_new_kept(bytes, length, NULL);
    free(bytes);
    return readout;
}

void sp_kept_readout_put(const sp_text *key, const sp_readout *readout) {
    size_t length;
    char *bytes = sp_readout_detach_kept(readout, &length, NULL);
    if (bytes != NULL) sp_kept_write(sp_text_get(key), bytes, length);
    free(bytes);
}

/* --- left by whoever measured ---------------------------------------------------------------- */

/* The file may hold an older or a newer state than what was read out. */
static bool holds(const char *bytes, size_t length, const sp_review *review) {
    sp_review *found = sp_review_parse(bytes, length, "kept", NULL);
    char *one = found == NULL ? NULL : sp_review_detach_text(found, NULL);
    char *other = sp_review_detach_text(review, NULL);
    const bool same = one != NULL && other != NULL && strcmp(one, other) == 0;
    free(one);
    free(other);
    sp_review_free(found);
    return same;
}

static bool is_as_opened(const sp_review *review, const char *review_path,
                         const sp_clip_stamp *opened) {
    char clip[PATH_MAX];
    if (!sp_review_clip_path(review, review_path, clip, sizeof clip)) return false;
    const sp_clip_stamp now = sp_clip_stamp_of(clip);
    return now.size == opened->size && now.changed_s == opened->changed_s &&
           now.changed_ns == opened->changed_ns;
}

void sp_history_leave(const sp_review *review, const char *review_path, const sp_clip_stamp *opened,
                      const sp_readout *readout) {
    enum { LOOK_EACH = 256 };
    static atomic_uint left;
    char *bytes;
    size_t length;
    if (!sp_file_read(review_path, SP_REVIEW_BYTES_MAX, &bytes, &length, NULL)) return;
    sp_text key = {0};
    if (holds(bytes, length, review) && is_as_opened(review, review_path, opened) &&
        sp_kept_readout_key(&key, bytes, length, opened)) {
        sp_kept_readout_put(&key, readout);
        if (atomic_fetch_add(&left, 1) % LOOK_EACH == 0) sp_kept_prune();
    }
    sp_text_clear(&key);
    free(bytes);
}
