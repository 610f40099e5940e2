/* From the JSON tree to the review. */
#ifndef SP_REVIEW_READ_H
#define SP_REVIEW_READ_H

#include <cjson/cJSON.h>

#include "review/document.h"

/* The lists of the document `root`, whose clip has been read. */
bool sp_read_scales(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error);
bool sp_read_moments(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error);
bool sp_read_marks(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error);
/* Judgements and findings. */
bool sp_read_checked(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error);
/* Ink. */
bool sp_read_inks(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error);
bool sp_read_notes(sp_review *review, const cJSON *root, const sp_place *at, sp_error *error);

/* At most SP_REVIEW_LIST_MAX items. */
bool sp_read_length(const cJSON *array, const char *name, const sp_place *at, sp_error *error);

/* The items of an array in order of their frame: whoever reads them adds at the end. */
typedef struct {
    const cJSON *item;
    size_t index;
    int frame; /* -1: none */
} sp_framed_item;
typedef struct {
    sp_framed_item *items; /* freed by the caller, also on failure */
    size_t count;
} sp_framed_items;
/* Checks the frames, and that none is there twice. */
bool sp_read_framed(const sp_review *review, const cJSON *array, bool needs_frame,
                    sp_framed_items *items, const sp_place *at, sp_error *error);

#endif
