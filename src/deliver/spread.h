/* Several pictures drawn as one: laid out once, then each may go on to other frames. */
#ifndef SP_DELIVER_SPREAD_H
#define SP_DELIVER_SPREAD_H

#include "deliver/caption.h"
#include "deliver/panels_layout.h"
#include "serveplumb/panels.h"

typedef struct {
    int count;
    sp_panels_layout layout;
    sp_panel panels[SP_PANELS_MAX];
    sp_picture frames[SP_PANELS_MAX];
    sp_overlay overlays[SP_PANELS_MAX]; /* placed from the panel's corner */
    sp_caption heads[SP_PANELS_MAX];
    sp_caption foot;
    char also[512]; /* of the foot */
    double head, foot_height;
} sp_spread;

/* Lays out and reads the frames; end it also when this fails. `moving`: what stands before the
 * words of the foot where the panels will go through their serves; NULL: they stay. */
bool sp_spread_begin(sp_spread *spread, const sp_panel *panels, int count,
                     const sp_panels_options *options, const char *moving, sp_error *error);
void sp_spread_end(sp_spread *spread);
/* Whole painter units. */
sp_size sp_spread_size(const sp_spread *spread);
void sp_spread_draw(sp_paint *paint, const sp_spread *spread);
/* Panel `i` shows another frame of its clip, in the place it has. */
bool sp_spread_turn(sp_spread *spread, int i, int frame, const char *moment, sp_error *error);

#endif
