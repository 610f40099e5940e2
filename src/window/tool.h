/* What a tap on the picture does. */
#ifndef SP_WINDOW_TOOL_H
#define SP_WINDOW_TOOL_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/body.h"
#include "serveplumb/point.h"

struct window;

typedef enum {
    TOOL_POINTS,   /* the point that is due here */
    TOOL_POINT,    /* `point`, wherever it is asked for */
    TOOL_ALONG,    /* `point` on this frame, then on the next, ... */
    TOOL_LANDMARK, /* of the court, `landmark` */
    TOOL_SCALE,    /* the two ends of `distance_m` */
    TOOL_LEVEL,    /* two points of something level */
    TOOL_HANG,     /* two points of something upright */
    TOOL_INK,      /* draws, or rubs out */
} tool_kind;

typedef struct {
    tool_kind kind;
    sp_point_name point;
    char distance_name[256], edges[256];
    double distance_m;
    bool half;       /* the first of two taps is made */
    int frame;       /* on which it was made */
    sp_point first;  /* upright pixels */
    int landmark;    /* index in its table; kept for the next pick */
    unsigned copied; /* bits of the points that were copied and not moved yet */
    int copied_frame;
    int end;      /* of a line, which keys move: hold.h; 0: none */
    int selected; /* the point that keys move; -1: none */
} tool;

/* Back to the points in the sheet's order. */
void tool_leave(struct window *w);
void tool_begin(struct window *w, tool_kind kind);
/* The point that a tap here would place; false when none is due. */
bool tool_due(const struct window *w, sp_point_name *point);
/* A tap here would do something. */
bool tool_armed(const struct window *w);
void tool_tap(struct window *w, sp_point at);
/* What the tool asks for now, and a hint; "" when it is the sheet's to say. */
void tool_words(const struct window *w, char *title, size_t title_size, char *hint,
                size_t hint_size);

#endif
