/* The serves of a history that may be held against each other: one view, one hand, by days. */
#ifndef SP_DELIVER_HISTORY_VIEWS_H
#define SP_DELIVER_HISTORY_VIEWS_H

#include "serveplumb/compare.h"
#include "serveplumb/history.h"

#define SP_HISTORY_VIEWS_MAX 8 /* four views, two hands */

typedef struct {
    sp_view view;
    sp_hand hand;
    const sp_history_serve **entries; /* by day */
    sp_serve *serves;                 /* the same ones */
    size_t count;
    sp_day *days; /* their serves are those above */
    size_t day_count;
} sp_history_view;

typedef struct {
    sp_history_view at[SP_HISTORY_VIEWS_MAX];
    int count; /* those with most serves first */
} sp_history_views;

/* Borrows from the history. False without memory. */
bool sp_history_views_fill(const sp_history *history, sp_history_views *views);
void sp_history_views_free(sp_history_views *views);

/* Days since 1970 of "2027-03-14"; NAN when it is no day. */
double sp_history_day_number(const char *day);

#endif
