/* Several stills in one picture: two moments of one review, the same moment of two, or a row of
 * moments of one serve. All are turned so that their plumb is upright, and drawn at one scale where
 * that can be had; where it cannot, the picture says so. */
#ifndef SERVEPLUMB_PANELS_H
#define SERVEPLUMB_PANELS_H

#include "serveplumb/clip.h"
#include "serveplumb/overlay.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

#define SP_PANELS_MAX 6

typedef struct {
    sp_clip *clip;
    const sp_review *review;
    const sp_readout *readout;
    int frame;
    const char *moment; /* its name; NULL: the frame's number alone */
    const char *whose;  /* after the moment's name; NULL: nothing */
} sp_panel;

typedef struct {
    sp_units units;
    sp_overlay_path path;
} sp_panels_options;

/* How the panels lie to each other: panels of the same review share its pixels; those of several
 * are in metres where all have a scale, else each fills its own panel. */
typedef enum {
    SP_PANELS_SAME_CAMERA,
    SP_PANELS_SAME_SCALE,
    SP_PANELS_EACH_ITS_OWN
} sp_panels_scale;
sp_panels_scale sp_panels_scale_of(const sp_panel *panels, int count);

/* 2 to SP_PANELS_MAX panels. Numbers are drawn while two stand beside each other; where there are
 * more, they would hide the player. Into `picture` (initialised here, owned by the caller). */
bool sp_panels_draw(const sp_panel *panels, int count, const sp_panels_options *options,
                    sp_picture *picture, sp_error *error);
/* PNG, or one page of PDF where the path ends in .pdf; written atomically. */
bool sp_panels_write(const sp_panel *panels, int count, const sp_panels_options *options,
                     const char *path, sp_error *error);

#endif
