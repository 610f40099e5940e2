/* The setters: check, compare, and hand one edit to the history. */
#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "review/document.h"

static const sp_place here = {.name = ""};

bool sp_edit_drop(sp_edit *edit, sp_error *error) {
    sp_edit_clear(edit);
    return sp_fail(error, SP_ERROR_MEMORY, "no memory for this edit; nothing has changed");
}

bool sp_edit_copy(const char *from, char **to) {
    *to = from == NULL ? NULL : strdup(from);
    return from == NULL || *to != NULL;
}

static char *copy_into(const char *from, size_t size) {
    char *to = calloc(1, size);
    if (to != NULL) sp_text_copy(to, size, from);
    return to;
}

static bool set_number(sp_review *review, sp_edit_kind kind, double now, double number,
                       sp_error *error) {
    if (now == number) return true;
    sp_edit edit = {.kind = kind, .other.number = number};
    return sp_history_do(review, &edit, error);
}

bool sp_review_set_slowdown(sp_review *review, double slowdown, sp_error *error) {
    return sp_check_slowdown(slowdown, &here, error) &&
           set_number(review, SP_EDIT_SLOWDOWN, review->clip.slowdown, slowdown, error);
}

bool sp_review_set_row_time(sp_review *review, double row_time_s, sp_error *error) {
    return sp_check_row_time(row_time_s, &here, error) &&
           set_number(review, SP_EDIT_ROW_TIME, review->clip.row_time_s, row_time_s, error);
}

bool sp_review_set_exposure(sp_review *review, double exposure_s, sp_error *error) {
    return sp_check_exposure(exposure_s, &here, error) &&
           set_number(review, SP_EDIT_EXPOSURE, review->clip.exposure_s, exposure_s, error);
}

bool sp_review_set_points_sd(sp_review *review, double sd_px, sp_error *error) {
    return sp_check_points_sd(sd_px, &here, error) &&
           set_number(review, SP_EDIT_POINTS_SD, review->points_sd_px, sd_px, error);
}

static bool same_player(const sp_player *a, const sp_player *b) {
    return strcmp(a->name, b->name) == 0 && a->hand == b->hand && a->stature_m == b->stature_m &&
           a->racquet_m == b->racquet_m && a->shoulder == b->shoulder;
}

static bool fill_player(sp_edit *edit, const sp_player *player) {
    sp_player *other = malloc(sizeof *other);
    edit->other.player = other;
    if (other != NULL) *other = *player;
    return other != NULL;
}

bool sp_review_set_player(sp_review *review, const sp_player *player, sp_error *error) {
    assert(player != NULL);
    if (!sp_check_player(player, &here, error)) return false;
    if (same_player(player, &review->player)) return true;
    sp_edit edit = {.kind = SP_EDIT_PLAYER};
    if (!fill_player(&edit, player)) return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

bool sp_review_set_view(sp_review *review, sp_view view, sp_net net, sp_error *error) {
    if (!sp_check_net(view, net, &here, error)) return false;
    if (view == review->view && net == review->net) return true;
    sp_edit edit = {.kind = SP_EDIT_VIEW, .other.view = {view, net}};
    return sp_history_do(review, &edit, error);
}

static bool same_point(sp_point a, sp_point b) { return a.x == b.x && a.y == b.y; }

static bool same_plumb(const sp_plumb_entry *a, const sp_plumb_entry *b) {
    return a->method == b->method && a->angle_deg == b->angle_deg && a->frame == b->frame &&
           same_point(a->a, b->a) && same_point(a->b, b->b);
}

static bool fill_plumb(sp_edit *edit, const sp_plumb_entry *plumb, const char *kept) {
    sp_plumb_entry *other = malloc(sizeof *other);
    edit->other.plumb.entry = other;
    if (other == NULL) return false;
    *other = *plumb;
    return sp_edit_copy(kept, &edit->other.plumb.kept);
}

/* What we do not know of an entry belongs to its method, so another method starts without. */
bool sp_review_set_plumb(sp_review *review, const sp_plumb_entry *plumb, sp_error *error) {
    assert(plumb != NULL);
    const sp_place place = {.up = &here, .name = "plumb"};
    sp_plumb_entry entry = *plumb;
    sp_plumb_tidy(&entry);
    if (!sp_check_plumb(&review->clip, &entry, &place, error)) return false;
    if (same_plumb(&entry, &review->plumb)) return true;
    sp_edit edit = {.kind = SP_EDIT_PLUMB};
    const bool keeps = entry.method == review->plumb.method;
    if (!fill_plumb(&edit, &entry, keeps ? review->plumb_kept : NULL))
        return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

static bool same_landmarks(const sp_scale_entry *a, const sp_scale_entry *b) {
    if (a->landmark_count != b->landmark_count) return false;
    for (size_t i = 0; i < a->landmark_count; i++)
        if (a->landmarks[i].landmark != b->landmarks[i].landmark ||
            !same_point(a->landmarks[i].at, b->landmarks[i].at) ||
            a->landmarks[i].sd_px != b->landmarks[i].sd_px)
            return false;
    return true;
}

/* Both tidy. */
static bool same_scale(const sp_scale_entry *a, const sp_scale_entry *b) {
    return a->method == b->method && a->frame == b->frame && same_point(a->a, b->a) &&
           same_point(a->b, b->b) && a->distance_m == b->distance_m &&
           strcmp(a->distance_name, b->distance_name) == 0 && a->sd_px == b->sd_px &&
           same_landmarks(a, b) && a->from_frame == b->from_frame && a->to_frame == b->to_frame;
}

static bool fill_landmarks_kept(sp_kept_scale *item, const sp_kept_scale *now) {
    for (size_t i = 0; i < item->entry.landmark_count; i++)
        for (size_t k = 0; k < now->entry.landmark_count; k++)
            if (item->entry.landmarks[i].landmark == now->entry.landmarks[k].landmark &&
                !sp_edit_copy(now->landmark_kept[k], &item->landmark_kept[i]))
                return false;
    return true;
}

static bool fill_scale(sp_edit *edit, const sp_scale_entry *entry, const sp_kept_scale *now) {
    sp_kept_scale *item = calloc(1, sizeof *item);
    edit->other.scale.item = item;
    if (item == NULL) return false;
    item->entry = *entry;
    return now == NULL || now->entry.method != entry->method ||
           (sp_edit_copy(now->kept, &item->kept) && fill_landmarks_kept(item, now));
}

/* `entry` NULL removes; `now` is what is there, at `index`. */
static bool swap_scale_in(sp_review *review, const char *id, const sp_scale_entry *entry,
                          const sp_kept_scale *now, size_t index, sp_error *error) {
    const char *active = review->active;
    if (entry != NULL && review->scales.count == 0) active = id;
    if (entry == NULL && strcmp(active, id) == 0) active = "";
    sp_edit edit = {.kind = SP_EDIT_SCALE, .other.scale.index = index};
    edit.other.scale.active = copy_into(active, sizeof review->active);
    if (edit.other.scale.active == NULL || !sp_edit_copy(id, &edit.key) ||
        (entry != NULL && !fill_scale(&edit, entry, now)))
        return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

bool sp_review_set_scale(sp_review *review, const char *id, const sp_scale_entry *entry,
                         sp_error *error) {
    size_t index;
    const sp_kept_scale *now = sp_scales_find(&review->scales, id, &index);
    if (entry == NULL) return now == NULL || swap_scale_in(review, id, NULL, now, index, error);
    const sp_place place = {.up = &here, .name = "scale"};
    sp_scale_entry set = *entry;
    if (!sp_text_copy(set.id, sizeof set.id, id))
        return sp_fail_at(&place, "id", error, "expected at most %zu bytes", sizeof set.id - 1);
    sp_scale_tidy(&set);
    if (!sp_check_scale(&review->clip, &set, &place, error)) return false;
    if (now != NULL && same_scale(&set, &now->entry)) return true;
    if (now == NULL && review->scales.count >= SP_REVIEW_LIST_MAX)
        return sp_fail(error, SP_ERROR_LIMIT, "a review holds at most %zu scales; remove one first",
                       SP_REVIEW_LIST_MAX);
    return swap_scale_in(review, id, &set, now, index, error);
}

/* Puts the landmark in its place in the entry, or takes it out. */
static bool change_landmark(sp_scale_entry *entry, const sp_landmark *landmark,
                            const sp_point *at) {
    size_t i = 0;
    while (i < entry->landmark_count && entry->landmarks[i].landmark != landmark) i++;
    const bool there = i < entry->landmark_count;
    if (at == NULL) {
        if (!there) return true;
        entry->landmark_count--;
        for (; i < entry->landmark_count; i++) entry->landmarks[i] = entry->landmarks[i + 1];
        return true;
    }
    if (!there && entry->landmark_count == SP_SCALE_LANDMARKS_MAX) return false;
    if (!there) entry->landmarks[entry->landmark_count++] = (sp_landmark_tap){.sd_px = 0};
    entry->landmarks[i].landmark = landmark;
    entry->landmarks[i].at = *at;
    return true;
}

bool sp_review_set_landmark(sp_review *review, const char *scale_id, const char *landmark_id,
                            const sp_point *at, sp_error *error) {
    const sp_kept_scale *now = sp_scales_find(&review->scales, scale_id, NULL);
    if (now == NULL || now->entry.method != SP_SCALE_COURT)
        return sp_fail_at(&here, "scale", error, "expected the id of a scale by court landmarks");
    const sp_landmark *landmark = sp_landmark_find(landmark_id);
    if (landmark == NULL)
        return sp_fail_at(&here, "landmark", error,
                          "expected the name of a landmark, such as near_left_singles_corner");
    sp_scale_entry entry = now->entry;
    if (!change_landmark(&entry, landmark, at))
        return sp_fail(error, SP_ERROR_LIMIT, "a scale holds at most %d landmarks",
                       SP_SCALE_LANDMARKS_MAX);
    return sp_review_set_scale(review, scale_id, &entry, error);
}

bool sp_review_set_active_scale(sp_review *review, const char *id, sp_error *error) {
    if (strcmp(id, review->active) == 0) return true;
    if (sp_scales_find(&review->scales, id, NULL) == NULL)
        return sp_fail_at(&here, "scale", error, "expected the id of a scale of this review");
    sp_edit edit = {.kind = SP_EDIT_ACTIVE, .other.text = copy_into(id, sizeof review->active)};
    if (edit.other.text == NULL) return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

static bool fill_moment(sp_edit *edit, const sp_moment *moment, const sp_kept_moment *now) {
    sp_kept_moment *item = calloc(1, sizeof *item);
    edit->other.moment = item;
    if (item == NULL) return false;
    item->moment = *moment;
    return now == NULL || sp_edit_copy(now->kept, &item->kept);
}

static bool check_new_moment(const sp_review *review, const char *name, int frame,
                             sp_moment *moment, sp_error *error) {
    const sp_place place = {.up = &here, .name = "moment"};
    *moment = (sp_moment){.frame = frame};
    if (!sp_text_copy(moment->name, sizeof moment->name, name))
        return sp_fail_at(&place, "name", error, "expected at most %zu bytes",
                          sizeof moment->name - 1);
    if (!sp_check_moment(&review->clip, moment, &place, error)) return false;
    if (review->moments.count < SP_REVIEW_LIST_MAX ||
        sp_moments_find(&review->moments, name, NULL) != NULL)
        return true;
    return sp_fail(error, SP_ERROR_LIMIT, "a review holds at most %zu moments; remove one first",
                   SP_REVIEW_LIST_MAX);
}

bool sp_review_set_moment(sp_review *review, const char *name, int frame, sp_error *error) {
    const sp_kept_moment *now = sp_moments_find(&review->moments, name, NULL);
    if (frame == (now == NULL ? -1 : now->moment.frame)) return true;
    sp_edit edit = {.kind = SP_EDIT_MOMENT};
    sp_moment moment;
    if (frame != -1 && !check_new_moment(review, name, frame, &moment, error)) return false;
    if (!sp_edit_copy(name, &edit.key) || (frame != -1 && !fill_moment(&edit, &moment, now)))
        return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

static bool same_mark(const sp_mark *a, const sp_mark *b) {
    return same_point(a->at, b->at) && a->sd_px == b->sd_px && a->by == b->by;
}

bool sp_review_set_mark(sp_review *review, int frame, sp_point_name name, const sp_mark *mark,
                        sp_error *error) {
    const sp_place place = {.up = &here, .name = sp_point_id(name)};
    if (!sp_check_frame(&review->clip, frame, &place, error)) return false;
    if (mark != NULL && !sp_check_mark(&review->clip, mark, &place, error)) return false;
    const sp_marked_point *now = sp_marks_find(&review->marks, frame, name);
    if (now == NULL && mark == NULL) return true;
    sp_edit edit = {.kind = SP_EDIT_MARK, .frame = frame, .name = name};
    if (mark != NULL) edit.other.mark = (sp_mark_state){.present = true, .mark = *mark};
    if (now != NULL && mark != NULL) {
        /* sp_review_mark filled the sd in: given back unchanged it still stands for the review's.
         */
        if (now->mark.sd_px == 0 && mark->sd_px == review->points_sd_px)
            edit.other.mark.mark.sd_px = 0;
        if (same_mark(&edit.other.mark.mark, &now->mark)) return true;
        if (!sp_edit_copy(now->kept, &edit.other.mark.kept)) return sp_edit_drop(&edit, error);
    }
    return sp_history_do(review, &edit, error);
}

static bool fill_note(sp_edit *edit, const char *text, const sp_kept_note *now) {
    sp_kept_note *item = calloc(1, sizeof *item);
    edit->other.note = item;
    if (item == NULL) return false;
    item->note.frame = edit->frame;
    return sp_edit_copy(text, &item->note.text) &&
           (now == NULL || sp_edit_copy(now->kept, &item->kept));
}

bool sp_review_set_note(sp_review *review, int frame, const char *text, sp_error *error) {
    const sp_place place = {.up = &here, .name = "note"};
    const bool removes = text == NULL || text[0] == '\0';
    if (frame != -1 && !sp_check_frame(&review->clip, frame, &place, error)) return false;
    if (!removes && !sp_check_note(text, &place, error)) return false;
    const sp_kept_note *now = sp_notes_find(&review->notes, frame, NULL);
    if (removes ? now == NULL : now != NULL && strcmp(now->note.text, text) == 0) return true;
    sp_edit edit = {.kind = SP_EDIT_NOTE, .frame = frame};
    if (!removes && !fill_note(&edit, text, now)) return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}

bool sp_review_set_reviewed(sp_review *review, const char *date, sp_error *error) {
    if (date[0] != '\0' && !sp_check_date(date, &here, error)) return false;
    if (strcmp(date, review->reviewed) == 0) return true;
    sp_edit edit = {.kind = SP_EDIT_REVIEWED,
                    .other.text = copy_into(date, sizeof review->reviewed)};
    if (edit.other.text == NULL) return sp_edit_drop(&edit, error);
    return sp_history_do(review, &edit, error);
}
