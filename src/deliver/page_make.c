#include "serveplumb/page_make.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "deliver/page_beside.h"

/* Of the whole work: the pictures of the page are drawn in the rest. */
#define CLIPS_SHARE 0.9

typedef struct {
    const char *path; /* of the page */
    sp_page_part parts[SP_PAGE_PARTS_MAX];
    int count;
    /* the clips under names of their own; "" none */
    char rendered[SP_PAGE_PARTS_MAX][SP_PAGE_PATH_MAX];
    sp_page_beside beside[SP_PAGE_PARTS_MAX];
    sp_reel_told *told;
    void *whom;
    int at; /* the part that is being encoded */
} work;

static bool told_of_all(void *whom, double share) {
    const work *w = whom;
    return w->told == NULL || w->told(w->whom, CLIPS_SHARE * (w->at + share) / w->count);
}

static bool name_clip(work *w, int i, sp_error *error) {
    const int length = snprintf(w->rendered[i], SP_PAGE_PATH_MAX, "%s.clip-%d.%ld.mp4", w->path,
                                i + 1, (long)getpid());
    if (length > 0 && length < SP_PAGE_PATH_MAX) return true;
    w->rendered[i][0] = '\0';
    return sp_fail(error, SP_ERROR_LIMIT, "the name of the page is too long; choose a shorter one");
}

static bool encode(work *w, int i, sp_units units, sp_error *error) {
    const sp_page_part *part = &w->parts[i];
    sp_reel_options options = {.units = units, .path = SP_PATH_SO_FAR};
    sp_reel_usual(part->clip, part->review, &options);
    sp_reel *reel = sp_reel_new(part->clip, part->review, part->readout, &options, error);
    if (reel == NULL) return false;
    w->at = i;
    const bool good = sp_reel_write(reel, w->rendered[i], told_of_all, w, error);
    sp_reel_free(reel);
    return good;
}

/* Only what is too large for the page becomes a file, once the page is there. */
static bool encode_all(work *w, sp_units units, sp_page_made *made, sp_error *error) {
    for (int i = 0; i < w->count; i++) {
        if (!name_clip(w, i, error) || !encode(w, i, units, error)) return false;
        w->parts[i].reel_path = w->rendered[i];
        if (sp_page_holds(w->rendered[i])) continue;
        if (!sp_page_beside_put(&w->beside[i], w->path, i + 1, w->rendered[i], error)) return false;
        w->parts[i].reel_path = w->beside[i].path;
        sp_text_copy(made->beside[i], SP_PAGE_PATH_MAX, w->beside[i].path);
    }
    return true;
}

static void begin(work *w, const sp_page_part *parts) {
    for (int i = 0; i < w->count; i++) {
        w->parts[i] = parts[i];
        w->parts[i].reel_path = NULL;
    }
}

static void sweep(work *w, bool good) {
    for (int i = 0; i < w->count; i++) {
        if (w->rendered[i][0] != '\0') unlink(w->rendered[i]);
        if (good)
            sp_page_beside_keep(&w->beside[i]);
        else
            sp_page_beside_undo(&w->beside[i]);
    }
}

bool sp_page_make(const sp_page_part *parts, int count, const sp_page_options *options,
                  const char *path, sp_reel_told *told, void *whom, sp_page_made *made,
                  sp_error *error) {
    assert(count >= 1 && count <= SP_PAGE_PARTS_MAX);
    work *w = calloc(1, sizeof *w);
    *made = (sp_page_made){0};
    if (w == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the page");
    *w = (work){.path = path, .count = count, .told = told, .whom = whom};
    begin(w, parts);
    bool good = options->no_clip || encode_all(w, options->units, made, error);
    if (good && told != NULL && !told(whom, CLIPS_SHARE))
        good = sp_fail(error, SP_ERROR_CANCELLED, "given up: nothing was written");
    good = good && sp_page_write(w->parts, count, options, path, error);
    sweep(w, good);
    free(w);
    return good;
}
