/* Where each panel looks: one window for all, so that they compare. */
#ifndef SP_DELIVER_PANELS_LAYOUT_H
#define SP_DELIVER_PANELS_LAYOUT_H

#include "serveplumb/panels.h"

typedef struct {
    double turn_deg; /* sets its plumb upright */
    double zoom;     /* painter units per upright pixel */
    sp_point origin; /* of the turned picture, from the panel's corner */
} sp_panel_view;

typedef struct {
    sp_panels_scale scale;
    int columns, rows;
    double width; /* of the whole */
    double panel_width, panel_height, gap;
    double em;
    sp_panel_view views[SP_PANELS_MAX];
} sp_panels_layout;

/* `path`: the way of the racquet's tip is to be in the picture, too. */
void sp_panels_lay_out(const sp_panel *panels, int count, bool path, sp_panels_layout *layout);

#endif
