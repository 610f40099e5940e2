/* The door from the review to the measures: marks named for a right-hander and mirrored so that
 * every player is one, with their true times. Marks that a measure asked for become slots, which
 * are drawn together. */
#ifndef SP_READOUT_DOOR_H
#define SP_READOUT_DOOR_H

#include "readout/row.h"
#include "serveplumb/plumb.h"

#define SP_PATH_MAX 128

typedef struct {
    int frame;
    sp_point_name name; /* right-handed */
    sp_point at;        /* upright pixels, mirrored at the door */
    double sd_px;
    bool carried;   /* not tapped */
    double frame_s; /* real time of its frame's first row */
    double row;     /* from 0, the first, to 1, the last */
} sp_slot;

struct sp_door {
    const sp_review *review;
    const sp_review_clip *clip;
    sp_frame_times times;
    sp_view view;
    sp_hand hand;
    bool mirrored;
    int moments[SP_AT_COUNT]; /* frames; -1 where not named */
    /* The row, 0 the first to 1 the last, of what tells the moment; the middle when not marked. */
    double moment_rows[SP_AT_COUNT];
    int ball_met;  /* the ball's slot on the contact frame; -1: none */
    bool scaled;   /* the review's scale in use is good: sp_scales_evaluate */
    bool on_court; /* and it is by the court */
    sp_slot *slots;
    size_t slot_count, slot_room;
    bool out_of_memory;
};

void sp_door_open(sp_door *door, const sp_review *review, sp_frame_times times);
void sp_door_close(sp_door *door);

bool sp_door_marked(const sp_door *door, int frame, sp_point_name name);
/* Index of the mark's slot; it must be marked. */
int sp_door_slot(sp_door *door, int frame, sp_point_name name);
sp_point sp_door_mirror(const sp_door *door, sp_point at);
/* When its row was read, by the review's row time. */
double sp_door_slot_time(const sp_door *door, const sp_slot *slot);
/* Real time of a frame; half a frame before the first and after the last are had by the nearest
 * step. `frame` may be a half. */
double sp_door_time(const sp_door *door, double frame);
/* Real frames a second about a frame. */
double sp_door_rate(const sp_door *door, int frame);
int sp_door_moment(const sp_door *door, const char *name); /* frame, -1 when not named */
/* "right elbow" of this player. */
const char *sp_door_title(const sp_door *door, sp_point_name name);

/* Where a measure's evidence comes from. */
struct sp_plan {
    const sp_row *row;
    sp_evaluate *evaluate;
    int at[SP_MEASURE_POINTS_MAX]; /* slots */
    int at_count;
    int ground; /* slot; -1 none */
    int path[SP_PATH_MAX];
    size_t path_count;
    size_t like; /* the first plan that looks at the same path; itself */
    sp_window window;
    sp_known_moment from, to;
    bool flies;   /* from the ball at contact, at[0], to its bounce, at[1] */
    bool divides; /* the plan `of[0]` by the plan `of[1]`, both before it */
    size_t of[2];
};

#endif
