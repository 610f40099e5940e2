#include "review/document.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "review/ink.h"

sp_review *sp_review_empty(void) {
    sp_review *review = calloc(1, sizeof *review);
    if (review == NULL) return NULL;
    review->clip = (sp_review_clip){.slowdown = 1};
    review->points_sd_px = 1.5;
    return review;
}

sp_review *sp_review_new(const sp_review_clip *clip, sp_error *error) {
    assert(clip != NULL);
    const sp_place root = {.name = "clip"};
    if (!sp_check_clip(clip, &root, error)) return NULL;
    sp_review *review = sp_review_empty();
    if (review == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory for a review");
        return NULL;
    }
    review->clip = *clip;
    return review;
}

void sp_review_free(sp_review *review) {
    if (review == NULL) return;
    sp_list_clear(&review->scales, sp_kept_scale_free);
    sp_list_clear(&review->moments, sp_kept_moment_free);
    sp_list_clear(&review->notes, sp_kept_note_free);
    sp_list_clear(&review->judgements, sp_kept_judgement_free);
    sp_list_clear(&review->findings, sp_kept_finding_free);
    sp_list_clear(&review->inks, sp_kept_ink_free);
    sp_marks_clear(&review->marks);
    sp_history_clear(&review->history);
    free(review->speeds);
    free(review->kept);
    free(review->clip_kept);
    free(review->player_kept);
    free(review->plumb_kept);
    free(review);
}

void sp_plumb_tidy(sp_plumb_entry *plumb) {
    if (sp_plumb_has_taps(plumb->method)) return;
    *plumb = (sp_plumb_entry){.method = plumb->method, .angle_deg = plumb->angle_deg};
}

void sp_scale_tidy(sp_scale_entry *entry) {
    sp_scale_entry tidy = {.method = entry->method};
    memcpy(tidy.id, entry->id, sizeof tidy.id);
    if (entry->method == SP_SCALE_TOSS) {
        tidy.from_frame = entry->from_frame;
        tidy.to_frame = entry->to_frame;
    } else {
        tidy.frame = entry->frame;
        tidy.sd_px = entry->sd_px;
    }
    if (entry->method == SP_SCALE_LINE) {
        tidy.a = entry->a;
        tidy.b = entry->b;
        tidy.distance_m = entry->distance_m;
        memcpy(tidy.distance_name, entry->distance_name, sizeof tidy.distance_name);
    }
    if (entry->method == SP_SCALE_COURT && entry->landmark_count <= SP_SCALE_LANDMARKS_MAX) {
        tidy.landmark_count = entry->landmark_count;
        for (size_t i = 0; i < tidy.landmark_count; i++) tidy.landmarks[i] = entry->landmarks[i];
    }
    *entry = tidy;
}

/* --- getters --------------------------------------------------------------------------------- */

const sp_review_clip *sp_review_get_clip(const sp_review *review) { return &review->clip; }
const sp_player *sp_review_get_player(const sp_review *review) { return &review->player; }
sp_view sp_review_get_view(const sp_review *review) { return review->view; }
sp_net sp_review_get_net(const sp_review *review) { return review->net; }
double sp_review_get_points_sd(const sp_review *review) { return review->points_sd_px; }
const sp_plumb_entry *sp_review_get_plumb(const sp_review *review) { return &review->plumb; }
const char *sp_review_get_reviewed(const sp_review *review) { return review->reviewed; }

static void *item_at(const sp_list *list, size_t index) {
    assert(index < list->count);
    return list->items[index];
}

size_t sp_review_scale_count(const sp_review *review) { return review->scales.count; }

const sp_scale_entry *sp_review_scale_at(const sp_review *review, size_t index) {
    return &((const sp_kept_scale *)item_at(&review->scales, index))->entry;
}

const sp_scale_entry *sp_review_scale_find(const sp_review *review, const char *id) {
    const sp_kept_scale *found = sp_scales_find(&review->scales, id, NULL);
    return found == NULL ? NULL : &found->entry;
}

const sp_scale_entry *sp_review_active_scale(const sp_review *review) {
    return review->active[0] == '\0' ? NULL : sp_review_scale_find(review, review->active);
}

size_t sp_review_moment_count(const sp_review *review) { return review->moments.count; }

const sp_moment *sp_review_moment_at(const sp_review *review, size_t index) {
    return &((const sp_kept_moment *)item_at(&review->moments, index))->moment;
}

int sp_review_moment_frame(const sp_review *review, const char *name) {
    const sp_kept_moment *found = sp_moments_find(&review->moments, name, NULL);
    return found == NULL ? -1 : found->moment.frame;
}

size_t sp_review_marked_count(const sp_review *review) { return review->marks.frames.count; }

int sp_review_marked_frame(const sp_review *review, size_t index) {
    return sp_marks_frame(&review->marks, index)->frame;
}

bool sp_review_mark(const sp_review *review, int frame, sp_point_name name, sp_mark *mark) {
    const sp_marked_point *found = sp_marks_find(&review->marks, frame, name);
    if (found == NULL) return false;
    if (mark == NULL) return true;
    *mark = found->mark;
    if (mark->sd_px == 0) mark->sd_px = review->points_sd_px;
    return true;
}

size_t sp_review_note_count(const sp_review *review) { return review->notes.count; }

const sp_note *sp_review_note_at(const sp_review *review, size_t index) {
    return &((const sp_kept_note *)item_at(&review->notes, index))->note;
}

size_t sp_review_judgement_count(const sp_review *review) { return review->judgements.count; }

const sp_judgement *sp_review_judgement_at(const sp_review *review, size_t index) {
    return &((const sp_kept_judgement *)item_at(&review->judgements, index))->judgement;
}

const sp_judgement *sp_review_judgement_find(const sp_review *review, const char *check) {
    const sp_kept_judgement *found = sp_judgements_find(&review->judgements, check, NULL);
    return found == NULL ? NULL : &found->judgement;
}

size_t sp_review_finding_count(const sp_review *review) { return review->findings.count; }

const sp_finding_entry *sp_review_finding_at(const sp_review *review, size_t index) {
    return &((const sp_kept_finding *)item_at(&review->findings, index))->entry;
}

const sp_finding_entry *sp_review_finding_find(const sp_review *review, const char *check) {
    const sp_kept_finding *found = sp_finding_entries_find(&review->findings, check, NULL);
    return found == NULL ? NULL : &found->entry;
}
