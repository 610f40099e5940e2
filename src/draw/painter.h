/* What a painter is made of; only for the files of this folder that touch cairo and pango. */
#ifndef SP_DRAW_PAINTER_H
#define SP_DRAW_PAINTER_H

#include <stdint.h>

#include <cairo.h>
#include <pango/pango.h>

#include "serveplumb/paint.h"

/* A window shows well under this many different texts at once. */
#define PAINTER_LAYOUTS 192

/* What makes two layouts differ; colour and halo do not. */
typedef struct {
    double size, max_width;
    bool bold, digits, wrap;
    sp_align align;
} painter_layout_key;

typedef struct {
    uint64_t hash;
    uint64_t used; /* tick of the last use; 0: empty */
    painter_layout_key key;
    char *text; /* as it was asked for */
    PangoLayout *layout;
} painter_layout;

struct sp_paint {
    cairo_surface_t *surface;
    cairo_t *cairo;
    double density;
    int saved; /* depth of sp_paint_save */
    sp_error first;
    PangoContext *context;
    painter_layout layouts[PAINTER_LAYOUTS];
    uint64_t tick;
};

/* Takes the surface, also on failure. */
sp_paint *sp_painter_new(cairo_surface_t *surface, double density, sp_error *error);
/* False when nothing is to be drawn any more. */
bool sp_painter_good(sp_paint *paint);
void sp_painter_set_color(sp_paint *paint, sp_color color);
/* Fits what cairo can hold; a number that is not finite is the painter's failure. */
double sp_painter_number(sp_paint *paint, double value);
void sp_painter_forget_layouts(sp_paint *paint);

#endif
