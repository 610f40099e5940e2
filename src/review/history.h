/* Edits that can be undone and redone. An edit holds the one item that it changes as it is on the
 * other side of it: doing, undoing and redoing are the same exchange with the document. */
#ifndef SP_REVIEW_HISTORY_H
#define SP_REVIEW_HISTORY_H

#include <stdbool.h>
#include <stddef.h>

#include "review/ink.h"
#include "review/lists.h"
#include "review/marks.h"
#include "serveplumb/review.h"

typedef enum {
    SP_EDIT_SLOWDOWN,
    SP_EDIT_ROW_TIME,
    SP_EDIT_EXPOSURE,
    SP_EDIT_PLAYER,
    SP_EDIT_VIEW,
    SP_EDIT_POINTS_SD,
    SP_EDIT_PLUMB,
    SP_EDIT_SCALE,
    SP_EDIT_ACTIVE,
    SP_EDIT_MOMENT,
    SP_EDIT_MARK,
    SP_EDIT_NOTE,
    SP_EDIT_JUDGEMENT,
    SP_EDIT_FINDING,
    SP_EDIT_INK,
    SP_EDIT_REVIEWED,
} sp_edit_kind;

/* NULL pointers: the item is absent on the other side. All pointers are owned. */
typedef struct {
    sp_edit_kind kind;
    int frame;          /* of a mark, a note or ink */
    sp_point_name name; /* of a mark */
    bool joined;        /* undone and redone with the one before */
    char *key;          /* id of a scale or a check, name of a moment */
    union {
        double number;
        sp_player *player;
        struct {
            sp_view view;
            sp_net net;
        } view;
        struct {
            sp_plumb_entry *entry;
            char *kept;
        } plumb;
        struct {
            sp_kept_scale *item;
            size_t index;
            char *active;
        } scale;
        char *text; /* id of the scale in use; date */
        sp_kept_moment *moment;
        sp_mark_state mark;
        sp_kept_note *note;
        struct {
            sp_kept_judgement *item;
            size_t index;
        } judgement;
        struct {
            sp_kept_finding *item;
            size_t index;
        } finding;
        struct {
            sp_kept_ink *item;
            size_t index;
            bool there;
        } ink;
    } other;
} sp_edit;

typedef struct {
    sp_edit *edits;
    size_t count, room;
    size_t done;    /* edits before this one are in the document */
    char told[192]; /* the last undone or redone, in words */
} sp_history;

/* Does the edit and keeps it for undo; takes what it owns, also on failure (no memory: the document
 * has not changed). */
bool sp_history_do(sp_review *review, sp_edit *edit, sp_error *error);
void sp_edit_clear(sp_edit *edit);
/* An allocation for the edit failed. */
bool sp_edit_drop(sp_edit *edit, sp_error *error);
/* A copy, NULL for NULL; false without memory. */
bool sp_edit_copy(const char *from, char **to);
void sp_history_clear(sp_history *history);

#endif
