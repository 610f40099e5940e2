#include "review/marks.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

static int compare_frame(const void *item, const void *key) {
    const int frame = ((const sp_marked_frame *)item)->frame, wanted = *(const int *)key;
    return (frame > wanted) - (frame < wanted);
}

static size_t index_of(const sp_marks *marks, int frame) {
    return sp_list_place(&marks->frames, &frame, compare_frame);
}

/* The frame at `index`, or NULL when that is another one. */
static sp_marked_frame *frame_at(const sp_marks *marks, size_t index, int frame) {
    if (index == marks->frames.count) return NULL;
    sp_marked_frame *found = marks->frames.items[index];
    return found->frame == frame ? found : NULL;
}

const sp_marked_frame *sp_marks_frame(const sp_marks *marks, size_t index) {
    assert(index < marks->frames.count);
    return marks->frames.items[index];
}

static size_t place_of(const sp_marked_frame *frame, sp_point_name name) {
    size_t i = 0;
    while (i < frame->count && frame->points[i].name < name) i++;
    return i;
}

static sp_marked_point *point_at(const sp_marked_frame *frame, size_t place, sp_point_name name) {
    if (place == frame->count || frame->points[place].name != name) return NULL;
    return &frame->points[place];
}

const sp_marked_point *sp_marks_find(const sp_marks *marks, int frame, sp_point_name name) {
    const sp_marked_frame *found = frame_at(marks, index_of(marks, frame), frame);
    return found == NULL ? NULL : point_at(found, place_of(found, name), name);
}

static sp_marked_frame *insert_frame(sp_marks *marks, size_t index, int frame) {
    sp_marked_frame *made = calloc(1, sizeof *made);
    if (made == NULL) return NULL;
    made->frame = frame;
    if (sp_list_insert(&marks->frames, index, made)) return made;
    free(made);
    return NULL;
}

static void free_frame(void *item) {
    sp_marked_frame *frame = item;
    for (size_t i = 0; i < frame->count; i++) free(frame->points[i].kept);
    free(frame->points);
    free(frame);
}

static void remove_frame_if_empty(sp_marks *marks, size_t index) {
    if (sp_marks_frame(marks, index)->count == 0) free_frame(sp_list_remove(&marks->frames, index));
}

static bool insert_point(sp_marked_frame *frame, size_t place, sp_point_name name,
                         sp_mark_state *state) {
    sp_marked_point *points =
        sp_room_for(frame->points, &frame->room, frame->count + 1, sizeof *points);
    if (points == NULL) return false;
    frame->points = points;
    sp_marked_point *at = &points[place];
    memmove(at + 1, at, (frame->count - place) * sizeof *at);
    *at = (sp_marked_point){.name = name, .mark = state->mark, .kept = state->kept};
    frame->count++;
    *state = (sp_mark_state){0};
    return true;
}

static void remove_point(sp_marked_frame *frame, size_t place, sp_mark_state *state) {
    sp_marked_point *at = &frame->points[place];
    *state = (sp_mark_state){.present = true, .mark = at->mark, .kept = at->kept};
    frame->count--;
    memmove(at, at + 1, (frame->count - place) * sizeof *at);
}

static bool insert(sp_marks *marks, size_t index, int frame, sp_point_name name,
                   sp_mark_state *state) {
    sp_marked_frame *found = frame_at(marks, index, frame);
    if (found == NULL) found = insert_frame(marks, index, frame);
    if (found == NULL) return false;
    if (insert_point(found, place_of(found, name), name, state)) return true;
    remove_frame_if_empty(marks, index);
    return false;
}

static void exchange(sp_marked_point *point, sp_mark_state *state) {
    const sp_mark_state put = *state;
    *state = (sp_mark_state){.present = true, .mark = point->mark, .kept = point->kept};
    point->mark = put.mark;
    point->kept = put.kept;
}

bool sp_marks_swap(sp_marks *marks, int frame, sp_point_name name, sp_mark_state *state) {
    const size_t index = index_of(marks, frame);
    sp_marked_frame *found = frame_at(marks, index, frame);
    const size_t place = found == NULL ? 0 : place_of(found, name);
    sp_marked_point *point = found == NULL ? NULL : point_at(found, place, name);
    if (point == NULL) return !state->present || insert(marks, index, frame, name, state);
    if (state->present) {
        exchange(point, state);
    } else {
        remove_point(found, place, state);
        remove_frame_if_empty(marks, index);
    }
    return true;
}

bool sp_marks_keep(sp_marks *marks, int frame, char *kept, char *points_kept) {
    sp_kept_frame *frames =
        sp_room_for(marks->kept, &marks->kept_room, marks->kept_count + 1, sizeof *frames);
    if (frames == NULL) {
        free(kept);
        free(points_kept);
        return false;
    }
    marks->kept = frames;
    assert(marks->kept_count == 0 || marks->kept[marks->kept_count - 1].frame < frame);
    marks->kept[marks->kept_count++] =
        (sp_kept_frame){.frame = frame, .kept = kept, .points_kept = points_kept};
    return true;
}

void sp_marks_clear(sp_marks *marks) {
    sp_list_clear(&marks->frames, free_frame);
    for (size_t i = 0; i < marks->kept_count; i++) {
        free(marks->kept[i].kept);
        free(marks->kept[i].points_kept);
    }
    free(marks->kept);
    *marks = (sp_marks){0};
}
