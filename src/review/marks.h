/* The points, by frame: found by halving, so that 100,000 stay usable. */
#ifndef SP_REVIEW_MARKS_H
#define SP_REVIEW_MARKS_H

#include <stdbool.h>
#include <stddef.h>

#include "review/list.h"
#include "serveplumb/review.h"

/* `kept`: the members that we do not know, as compact JSON; NULL when there are none. */
typedef struct {
    sp_point_name name;
    sp_mark mark;
    char *kept;
} sp_marked_point;

typedef struct {
    int frame;
    size_t count, room;      /* at least one point */
    sp_marked_point *points; /* in order of name */
} sp_marked_frame;

/* What we do not know of a frame and of its points; no edit changes it. */
typedef struct {
    int frame;
    char *kept, *points_kept;
} sp_kept_frame;

typedef struct {
    sp_list frames;      /* of sp_marked_frame, in order of frame */
    sp_kept_frame *kept; /* in order of frame */
    size_t kept_count, kept_room;
} sp_marks;

/* A point or its absence: what an edit of a mark puts in place of another. */
typedef struct {
    bool present;
    sp_mark mark;
    char *kept; /* owned */
} sp_mark_state;

const sp_marked_frame *sp_marks_frame(const sp_marks *marks, size_t index);
const sp_marked_point *sp_marks_find(const sp_marks *marks, int frame, sp_point_name name);
/* Puts `state` in and gives what was there out. False without memory: nothing has changed. */
bool sp_marks_swap(sp_marks *marks, int frame, sp_point_name name, sp_mark_state *state);
/* Takes both strings, also on failure. Frames come in ascending order. */
bool sp_marks_keep(sp_marks *marks, int frame, char *kept, char *points_kept);
void sp_marks_clear(sp_marks *marks);

#endif
