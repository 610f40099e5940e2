#include <math.h>

#include "draw/painter.h"

void sp_paint_turned_picture(sp_paint *paint, const sp_picture *picture, sp_point origin,
                             double turn_deg, double zoom) {
    const double x = sp_painter_number(paint, origin.x), y = sp_painter_number(paint, origin.y);
    const double turn = sp_painter_number(paint, turn_deg) * M_PI / 180.0;
    const double scale = sp_painter_number(paint, zoom);
    if (!sp_painter_good(paint) || scale <= 0.0) return;
    cairo_t *cairo = paint->cairo;
    cairo_save(cairo);
    cairo_translate(cairo, x, y);
    cairo_rotate(cairo, turn);
    cairo_scale(cairo, scale, scale);
    /* cairo asks for writable pixels but only reads a source. */
    cairo_surface_t *pixels =
        cairo_image_surface_create_for_data(picture->pixels, CAIRO_FORMAT_ARGB32, picture->width,
                                            picture->height, (int)picture->stride);
    cairo_set_source_surface(cairo, pixels, 0.0, 0.0);
    cairo_pattern_set_filter(cairo_get_source(cairo), CAIRO_FILTER_GOOD);
    cairo_pattern_set_extend(cairo_get_source(cairo), CAIRO_EXTEND_PAD); /* edges stay sharp */
    cairo_new_path(cairo);
    cairo_rectangle(cairo, 0.0, 0.0, picture->width, picture->height);
    cairo_fill(cairo);
    cairo_surface_destroy(pixels);
    cairo_restore(cairo);
}
