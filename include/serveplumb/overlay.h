/* The overlay: points, segments, angle arcs with their numbers, plumb line with the gap, scale bar,
 * and the coach's ink.
 * The same code draws it in the window and in a still. It computes no measure: numbers come from
 * the readout. Nothing of the arguments is kept. */
#ifndef SERVEPLUMB_OVERLAY_H
#define SERVEPLUMB_OVERLAY_H

#include "serveplumb/ink.h"
#include "serveplumb/paint.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"
#include "serveplumb/theme.h"

/* The way of the racquet's tip from frame to frame, up to contact: where it was marked, and a line
 * between marks that lie close together. Where nobody looked there is no line. */
typedef enum {
    SP_PATH_NONE,
    SP_PATH_SO_FAR,    /* up to the frame shown */
    SP_PATH_TO_CONTACT /* whole, whatever frame is shown */
} sp_overlay_path;

/* Ink that is not in the review, over what is: being drawn, or of a talk-through. */
typedef struct {
    const sp_ink *ink;
    double share; /* of its way that is drawn, 0 to 1 */
} sp_overlay_ink;

typedef struct {
    const sp_review *review;
    const sp_readout *readout; /* NULL: no numbers */
    const sp_theme *theme;
    sp_units units;
    int frame;
    double origin_x, origin_y; /* where upright pixel (0, 0) lies on the painter */
    double zoom;               /* painter units per upright pixel */
    double turn_deg;           /* of the picture about upright pixel (0, 0), clockwise; labels stay
                                  level. -(angle of the plumb) sets the picture upright */
    sp_rect area;              /* of the painter, to keep labels inside */
    double line;               /* width of a segment in painter units; 0: fit to the area */
    double text;               /* em of labels in painter units; 0: fit to `line` */
    int selected;              /* sp_point_name with a ring around it; -1 none */
    bool numbers;              /* arcs, gap and their labels */
    bool scale_bar;
    bool scale_taps; /* the two taps of the active scale and of the plumb, on the frame they are on
                      */
    sp_overlay_path path;
    const sp_overlay_ink *ink;
    size_t ink_count;
    bool only_ink; /* nothing else is drawn */
} sp_overlay;

typedef struct {
    double text;    /* em of the labels, painter units */
    bool numbers;   /* some label with a number found room */
    bool projected; /* a number stands behind the sign of "true in the picture plane only" */
} sp_overlay_drawn;
#define SP_OVERLAY_PROJECTED_SIGN "\xe2\x89\x88" /* U+2248, almost equal to */

/* The hue of ink in that theme. */
sp_color sp_theme_hue(const sp_theme *theme, sp_hue hue);

/* What could not be drawn is told by sp_paint_finish. */
sp_overlay_drawn sp_overlay_draw(sp_paint *paint, const sp_overlay *overlay);

#endif
