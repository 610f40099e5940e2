#include "review/ink.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "review/document.h"
#include "review/words.h"
#include "serveplumb/stroke.h"

const char *sp_ink_kind_id(sp_ink_kind kind) { return sp_words_at(&sp_words_ink, kind); }
const char *sp_hue_id(sp_hue hue) { return sp_words_at(&sp_words_hue, hue); }

bool sp_ink_is_on(const sp_ink *ink, int frame) {
    return frame >= ink->from_frame && frame <= ink->to_frame;
}

double sp_ink_distance(const sp_ink *ink, sp_point at) {
    if (ink->kind != SP_INK_CIRCLE) return sp_stroke_distance(ink->points, ink->count, at);
    const double radius = sp_point_distance(ink->points[0], ink->points[1]);
    return fabs(sp_point_distance(ink->points[0], at) - radius);
}

/* --- the list -------------------------------------------------------------------------------- */

void sp_kept_ink_free(void *item) {
    sp_kept_ink *ink = item;
    if (ink == NULL) return;
    free(ink->ink.points);
    free(ink->kept);
    free(ink);
}

sp_kept_ink *sp_kept_ink_new(const sp_ink *ink, const char *kept) {
    sp_kept_ink *item = calloc(1, sizeof *item);
    if (item == NULL) return NULL;
    item->ink = *ink;
    item->ink.points = malloc(ink->count * sizeof *ink->points);
    if (kept != NULL) item->kept = strdup(kept);
    if (item->ink.points == NULL || (kept != NULL && item->kept == NULL)) {
        sp_kept_ink_free(item);
        return NULL;
    }
    memcpy(item->ink.points, ink->points, ink->count * sizeof *ink->points);
    return item;
}

bool sp_inks_swap(sp_list *inks, size_t index, bool *there, sp_kept_ink **item) {
    sp_kept_ink *in = *item, *out = NULL;
    if (*there && in != NULL) {
        out = inks->items[index];
        inks->items[index] = in;
    } else if (*there) {
        out = sp_list_remove(inks, index);
    } else if (in != NULL && !sp_list_insert(inks, index, in)) {
        return false;
    }
    *there = in != NULL;
    *item = out;
    return true;
}

size_t sp_review_ink_count(const sp_review *review) { return review->inks.count; }

const sp_ink *sp_review_ink_at(const sp_review *review, size_t index) {
    assert(index < review->inks.count);
    return &((const sp_kept_ink *)review->inks.items[index])->ink;
}

/* --- edits ----------------------------------------------------------------------------------- */

static bool same(const sp_ink *a, const sp_ink *b) {
    if (a->kind != b->kind || a->hue != b->hue || a->from_frame != b->from_frame ||
        a->to_frame != b->to_frame || a->count != b->count)
        return false;
    for (size_t i = 0; i < a->count; i++)
        if (a->points[i].x != b->points[i].x || a->points[i].y != b->points[i].y) return false;
    return true;
}

static bool check(const sp_review *review, const sp_ink *ink, sp_error *error) {
    const sp_place here = {.name = ""}, place = {.up = &here, .name = "ink"};
    return sp_check_ink(&review->clip, ink, &place, error);
}

static bool put(sp_review *review, size_t index, const sp_ink *ink, const sp_kept_ink *now,
                sp_error *error) {
    sp_edit edit = {.kind = SP_EDIT_INK, .other.ink = {.index = index, .there = now != NULL}};
    if (now != NULL) edit.frame = now->ink.from_frame;
    if (ink != NULL) edit.frame = ink->from_frame;
    if (ink != NULL) {
        edit.other.ink.item = sp_kept_ink_new(ink, now == NULL ? NULL : now->kept);
        if (edit.other.ink.item == NULL) return sp_edit_drop(&edit, error);
    }
    return sp_history_do(review, &edit, error);
}

bool sp_review_add_ink(sp_review *review, const sp_ink *ink, sp_error *error) {
    if (!check(review, ink, error)) return false;
    if (review->inks.count >= SP_REVIEW_LIST_MAX)
        return sp_fail(error, SP_ERROR_LIMIT,
                       "a review holds at most %zu marks of ink; erase some first",
                       SP_REVIEW_LIST_MAX);
    return put(review, review->inks.count, ink, NULL, error);
}

bool sp_review_set_ink(sp_review *review, size_t index, const sp_ink *ink, sp_error *error) {
    assert(index < review->inks.count);
    const sp_kept_ink *now = review->inks.items[index];
    if (ink != NULL && !check(review, ink, error)) return false;
    if (ink != NULL && same(ink, &now->ink)) return true;
    return put(review, index, ink, now, error);
}
