#include "review/history.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "review/document.h"

void sp_edit_clear(sp_edit *edit) {
    switch (edit->kind) {
    case SP_EDIT_PLAYER: free(edit->other.player); break;
    case SP_EDIT_PLUMB:
        free(edit->other.plumb.entry);
        free(edit->other.plumb.kept);
        break;
    case SP_EDIT_SCALE:
        sp_kept_scale_free(edit->other.scale.item);
        free(edit->other.scale.active);
        break;
    case SP_EDIT_MOMENT: sp_kept_moment_free(edit->other.moment); break;
    case SP_EDIT_MARK: free(edit->other.mark.kept); break;
    case SP_EDIT_NOTE: sp_kept_note_free(edit->other.note); break;
    case SP_EDIT_JUDGEMENT: sp_kept_judgement_free(edit->other.judgement.item); break;
    case SP_EDIT_FINDING: sp_kept_finding_free(edit->other.finding.item); break;
    case SP_EDIT_INK: sp_kept_ink_free(edit->other.ink.item); break;
    case SP_EDIT_ACTIVE:
    case SP_EDIT_REVIEWED: free(edit->other.text); break;
    case SP_EDIT_SLOWDOWN:
    case SP_EDIT_ROW_TIME:
    case SP_EDIT_EXPOSURE:
    case SP_EDIT_VIEW:
    case SP_EDIT_POINTS_SD: break;
    }
    free(edit->key);
    *edit = (sp_edit){0};
}

void sp_history_clear(sp_history *history) {
    for (size_t i = 0; i < history->count; i++) sp_edit_clear(&history->edits[i]);
    free(history->edits);
    *history = (sp_history){0};
}

static void swap_number(double *a, double *b) {
    const double kept = *a;
    *a = *b;
    *b = kept;
}

static void swap_pointer(char **a, char **b) {
    char *kept = *a;
    *a = *b;
    *b = kept;
}

/* The text in the edit was allocated as large as the array in the document. */
static void swap_array(char *a, char *b, size_t size) {
    for (size_t i = 0; i < size; i++) {
        const char kept = a[i];
        a[i] = b[i];
        b[i] = kept;
    }
}

static void swap_view(sp_review *review, sp_edit *edit) {
    const sp_view view = review->view;
    const sp_net net = review->net;
    review->view = edit->other.view.view;
    review->net = edit->other.view.net;
    edit->other.view.view = view;
    edit->other.view.net = net;
}

static bool swap_scale(sp_review *review, sp_edit *edit) {
    if (!sp_scales_swap(&review->scales, edit->key, edit->other.scale.index,
                        &edit->other.scale.item))
        return false;
    swap_array(review->active, edit->other.scale.active, sizeof review->active);
    return true;
}

static void swap_plumb(sp_review *review, sp_edit *edit) {
    const sp_plumb_entry plumb = review->plumb;
    review->plumb = *edit->other.plumb.entry;
    *edit->other.plumb.entry = plumb;
    swap_pointer(&review->plumb_kept, &edit->other.plumb.kept);
}

static void swap_player(sp_review *review, sp_edit *edit) {
    const sp_player player = review->player;
    review->player = *edit->other.player;
    *edit->other.player = player;
}

/* False without memory: nothing has changed. */
static bool swap(sp_review *review, sp_edit *edit) {
    switch (edit->kind) {
    case SP_EDIT_SLOWDOWN: swap_number(&review->clip.slowdown, &edit->other.number); break;
    case SP_EDIT_ROW_TIME: swap_number(&review->clip.row_time_s, &edit->other.number); break;
    case SP_EDIT_EXPOSURE: swap_number(&review->clip.exposure_s, &edit->other.number); break;
    case SP_EDIT_POINTS_SD: swap_number(&review->points_sd_px, &edit->other.number); break;
    case SP_EDIT_PLAYER: swap_player(review, edit); break;
    case SP_EDIT_VIEW: swap_view(review, edit); break;
    case SP_EDIT_PLUMB: swap_plumb(review, edit); break;
    case SP_EDIT_SCALE: return swap_scale(review, edit);
    case SP_EDIT_ACTIVE: swap_array(review->active, edit->other.text, sizeof review->active); break;
    case SP_EDIT_REVIEWED:
        swap_array(review->reviewed, edit->other.text, sizeof review->reviewed);
        break;
    case SP_EDIT_MOMENT: return sp_moments_swap(&review->moments, edit->key, &edit->other.moment);
    case SP_EDIT_MARK:
        return sp_marks_swap(&review->marks, edit->frame, edit->name, &edit->other.mark);
    case SP_EDIT_NOTE: return sp_notes_swap(&review->notes, edit->frame, &edit->other.note);
    case SP_EDIT_JUDGEMENT:
        return sp_judgements_swap(&review->judgements, edit->key, edit->other.judgement.index,
                                  &edit->other.judgement.item);
    case SP_EDIT_FINDING:
        return sp_finding_entries_swap(&review->findings, edit->key, edit->other.finding.index,
                                       &edit->other.finding.item);
    case SP_EDIT_INK:
        return sp_inks_swap(&review->inks, edit->other.ink.index, &edit->other.ink.there,
                            &edit->other.ink.item);
    }
    return true;
}

bool sp_history_do(sp_review *review, sp_edit *edit, sp_error *error) {
    sp_history *history = &review->history;
    sp_edit *edits = sp_room_for(history->edits, &history->room, history->done + 1, sizeof *edits);
    if (edits != NULL) history->edits = edits;
    if (edits == NULL || !swap(review, edit)) {
        sp_edit_clear(edit);
        return sp_fail(error, SP_ERROR_MEMORY, "no memory for this edit; nothing has changed");
    }
    while (history->count > history->done) sp_edit_clear(&history->edits[--history->count]);
    history->edits[history->count++] = *edit;
    history->done = history->count;
    return true;
}

/* --- in words -------------------------------------------------------------------------------- */

static int moment_frame(const sp_review *review, const sp_edit *edit) {
    const sp_kept_moment *now = sp_moments_find(&review->moments, edit->key, NULL);
    if (now == NULL) now = edit->other.moment;
    return now == NULL ? -1 : now->moment.frame;
}

static int scale_frame(const sp_review *review, const sp_edit *edit) {
    const sp_kept_scale *now = sp_scales_find(&review->scales, edit->key, NULL);
    if (now == NULL) now = edit->other.scale.item;
    if (now == NULL) return -1;
    return now->entry.method == SP_SCALE_TOSS ? now->entry.from_frame : now->entry.frame;
}

static int judgement_frame(const sp_review *review, const sp_edit *edit) {
    const sp_kept_judgement *now = sp_judgements_find(&review->judgements, edit->key, NULL);
    if (now == NULL) now = edit->other.judgement.item;
    return now == NULL ? -1 : now->judgement.frame;
}

static int plumb_frame(const sp_review *review, const sp_edit *edit) {
    if (sp_plumb_has_taps(review->plumb.method)) return review->plumb.frame;
    const sp_plumb_entry *other = edit->other.plumb.entry;
    return sp_plumb_has_taps(other->method) ? other->frame : -1;
}

static int frame_of(const sp_review *review, const sp_edit *edit) {
    switch (edit->kind) {
    case SP_EDIT_MARK:
    case SP_EDIT_INK:
    case SP_EDIT_NOTE: return edit->frame;
    case SP_EDIT_MOMENT: return moment_frame(review, edit);
    case SP_EDIT_SCALE: return scale_frame(review, edit);
    case SP_EDIT_PLUMB: return plumb_frame(review, edit);
    case SP_EDIT_JUDGEMENT: return judgement_frame(review, edit);
    default: return -1;
    }
}

static const char *item_of(const sp_edit *edit) {
    switch (edit->kind) {
    case SP_EDIT_SLOWDOWN: return "slowdown";
    case SP_EDIT_ROW_TIME: return "read-out time of the rows";
    case SP_EDIT_EXPOSURE: return "shutter time";
    case SP_EDIT_PLAYER: return "player";
    case SP_EDIT_VIEW: return "view";
    case SP_EDIT_POINTS_SD: return "tap deviation";
    case SP_EDIT_PLUMB: return "plumb";
    case SP_EDIT_SCALE: return "scale";
    case SP_EDIT_ACTIVE: return "scale in use";
    case SP_EDIT_MOMENT: return edit->key;
    case SP_EDIT_MARK: return sp_point_title(edit->name);
    case SP_EDIT_NOTE: return "note";
    case SP_EDIT_JUDGEMENT: return "judgement of";
    case SP_EDIT_FINDING: return "finding";
    case SP_EDIT_INK: return "ink";
    case SP_EDIT_REVIEWED: return "date of the review";
    }
    return "";
}

static const char *tell(sp_review *review, const sp_edit *edit, int *frame) {
    char *told = review->history.told;
    const size_t size = sizeof review->history.told;
    const int touched = frame_of(review, edit);
    if (frame != NULL) *frame = touched;
    int length = snprintf(told, size, "%s", item_of(edit));
    if (edit->kind == SP_EDIT_SCALE || edit->kind == SP_EDIT_JUDGEMENT ||
        edit->kind == SP_EDIT_FINDING)
        length += snprintf(told + length, size - (size_t)length, " '%s'", edit->key);
    if (touched >= 0) snprintf(told + length, size - (size_t)length, " on frame %d", touched);
    return told;
}

size_t sp_review_edit_count(const sp_review *review) { return review->history.done; }

void sp_review_join(sp_review *review, size_t since) {
    sp_history *history = &review->history;
    for (size_t i = since + 1; i < history->done; i++) history->edits[i].joined = true;
}

/* Without memory in the midst of edits that are joined, what was done stays done: told as it is. */
const char *sp_review_undo(sp_review *review, int *frame) {
    sp_history *history = &review->history;
    const sp_edit *told = NULL;
    if (frame != NULL) *frame = -1;
    while (history->done > 0) {
        sp_edit *edit = &history->edits[history->done - 1];
        if (!swap(review, edit)) break;
        history->done--;
        told = edit;
        if (!edit->joined) break;
    }
    return told == NULL ? NULL : tell(review, told, frame);
}

const char *sp_review_redo(sp_review *review, int *frame) {
    sp_history *history = &review->history;
    const sp_edit *told = NULL;
    if (frame != NULL) *frame = -1;
    while (history->done < history->count) {
        sp_edit *edit = &history->edits[history->done];
        if (told != NULL && !edit->joined) break;
        if (!swap(review, edit)) break;
        history->done++;
        if (told == NULL) told = edit;
    }
    return told == NULL ? NULL : tell(review, told, frame);
}
