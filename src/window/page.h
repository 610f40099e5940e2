/* A column of the sheet while it is painted: rows from the top down. */
#ifndef SP_WINDOW_PAGE_H
#define SP_WINDOW_PAGE_H

#include "window/brush.h"
#include "window/sheet.h"
#include "window/steps.h"

struct window;

typedef struct {
    brush b;
    const struct window *w;
    step next;
    double x, width;  /* of the column, without its margins */
    int group;        /* of measures */
    double y;         /* of the next row; may lie outside what is seen */
    double row, line; /* heights of a row with a key label, and of a plain one */
} page;

#define PAGE_MARGIN 16.0

/* Heading with a sign and a summary; true when what is under it is to be painted. */
bool page_section(page *p, section which, const char *title, const char *summary, sign state);
/* Says whether what is under a row is folded away. */
void page_fold(page *p, double x, double y, bool open);
/* Label, value and key of one setting. */
void page_setting(page *p, const char *label, const char *value, action *act, int argument);
/* Something that can be done here, and its key. */
void page_offer(page *p, const char *title, action *act, int argument);
/* Wrapped text in faint letters. */
void page_text(page *p, const char *text);

/* guide.c */
void guide_paint(page *p);
/* guide_scale.c */
void scale_paint(page *p);
section guide_section(const struct window *w);

/* advice.c */
/* The card at the head of the sheet; the height used. `keys` gets what its key label does when it
 * is pressed, an action of NULL when no more than the card itself. */
double guide_paint_next(page *p, spot *keys);

/* again_paint.c */
void again_paint(page *p);

/* lists.c */
void recents_paint(page *p);

/* past_paint.c: what earlier reviews say of a measure, by its index. */
void past_paint(page *p, int measure);

/* findings_paint.c */
void findings_paint(page *p);
/* What the points of a moment already tell. */
void findings_paint_so_far(page *p, const char *moment);
void deliver_paint(page *p);

/* pen.c */
void pen_paint(page *p);

/* sending_paint.c */
void sending_paint_now(page *p); /* what is being written, if anything */
void sending_paint_offers(page *p);

/* talking_paint.c */
void talking_paint(page *p);

/* measures.c */
void measures_paint(page *p);
/* What the points of a moment give so far, at most four rows. */
void measures_paint_so_far(page *p, const char *moment);

#endif
