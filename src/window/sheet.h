/* The sheet: the guided list that says what comes next, and the readout under it. */
#ifndef SP_WINDOW_SHEET_H
#define SP_WINDOW_SHEET_H

#include <stdbool.h>

#include "window/moments.h"
#include "window/pane.h"
#include "window/spots.h"

struct window;

typedef enum {
    SECTION_WHO,
    SECTION_MOMENTS,
    SECTION_POINTS,
    SECTION_SCALE,
    SECTION_READOUT,
    SECTION_CHECKS,
    SECTION_INK,
    SECTION_TALK,
    SECTION_DELIVER,
    SECTION_COUNT
} section;

typedef struct {
    pane pane;
    spots spots;
    int walked; /* the first so many spots: rows; those of the card have keys of their own */
    double scroll[2], content[2];    /* of a column, units */
    double top[2], left[2], wide[2]; /* of a column in the pane, units */
    int columns;
    signed char open[SECTION_COUNT]; /* 0: as the work needs it; 1: open; -1: closed */
    action *focus_act;               /* the row that Enter does; NULL: none */
    int focus_argument;
    bool cautions;      /* are unfolded */
    bool cautions_read; /* those of the checks are folded */
    int group;          /* of measures, from 1, of the moment last seen; 0: none yet */
    signed char group_open[MOMENT_COUNT + 1]; /* as `open`; the last: from moment to moment */
    bool all_rows;                            /* measures without a number have their own rows */
    bool revealing;                           /* the focus moved: bring it into view */
    section worked;                           /* where the work was when last painted */
    int measure;                              /* index of the measure that is explained; -1: none */
} sheet;

bool sheet_paint(struct window *w, sp_error *error);
void sheet_scroll(struct window *w, double x, double y, double by);
/* Walks to the next row (+1) or the one before (-1). */
void sheet_walk(struct window *w, int by);
/* Does the row that has the focus; false when none has. */
bool sheet_enter(struct window *w);
bool sheet_is_open(const struct window *w, section which);

#endif
