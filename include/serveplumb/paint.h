/* Drawing on an sp_picture: shapes and text. Knows neither files nor windows.
 *
 * Coordinates are pixels of the target divided by `density`, x right, y down, origin at the outer
 * corner of the top-left pixel. The first failure is kept and later calls do nothing; ask once at
 * the end with sp_paint_finish. Text is UTF-8; the font is the theme's, found by fontconfig. */
#ifndef SERVEPLUMB_PAINT_H
#define SERVEPLUMB_PAINT_H

#include <stdbool.h>
#include <stdint.h>

#include "serveplumb/error.h"
#include "serveplumb/picture.h"
#include "serveplumb/point.h"

typedef struct sp_paint sp_paint;

typedef struct {
    double r, g, b, a; /* 0..1, not premultiplied, sRGB */
} sp_color;

typedef struct {
    double x, y, width, height;
} sp_rect;

typedef struct {
    double width, height;
} sp_size;

typedef enum { SP_ALIGN_LEFT, SP_ALIGN_CENTER, SP_ALIGN_RIGHT } sp_align;

typedef struct {
    double size; /* px of the em */
    bool bold;
    bool digits; /* figures all of one width */
    sp_color color;
    sp_color halo;     /* outline behind the letters; a 0: none */
    double halo_width; /* px */
    sp_align align;    /* within max_width */
    double max_width;  /* 0: no limit */
    bool wrap;         /* break lines at max_width and at \n; else end with an ellipsis */
} sp_text_style;

/* Draws on `target`, which must outlive the painter. density: target pixels per unit, > 0. */
sp_paint *sp_paint_new(sp_picture *target, double density, sp_error *error);
/* Flushes; false with the first failure. The painter may go on drawing afterwards. */
bool sp_paint_finish(sp_paint *paint, sp_error *error);
void sp_paint_free(sp_paint *paint);

void sp_paint_save(sp_paint *paint);
void sp_paint_restore(sp_paint *paint);
void sp_paint_clip(sp_paint *paint, sp_rect rect);
void sp_paint_clear(sp_paint *paint, sp_color color); /* replaces all, also with transparency */

void sp_paint_fill_rect(sp_paint *paint, sp_rect rect, double radius, sp_color color);
void sp_paint_stroke_rect(sp_paint *paint, sp_rect rect, double radius, double width,
                          sp_color color);
void sp_paint_line(sp_paint *paint, sp_point a, sp_point b, double width, sp_color color);
/* `on` and `off` are lengths of the dashes. */
void sp_paint_dashed_line(sp_paint *paint, sp_point a, sp_point b, double width, double on,
                          double off, sp_color color);
void sp_paint_polyline(sp_paint *paint, const sp_point *points, int count, double width,
                       sp_color color);
void sp_paint_polygon(sp_paint *paint, const sp_point *points, int count, sp_color color);
void sp_paint_disc(sp_paint *paint, sp_point center, double radius, sp_color color);
void sp_paint_ring(sp_paint *paint, sp_point center, double radius, double width, sp_color color);
/* From angle `from` to `to` (rad, clockwise as displayed, 0 to the right). */
void sp_paint_arc(sp_paint *paint, sp_point center, double radius, double from, double to,
                  double width, sp_color color);
/* `source` in pixels of the picture. `smooth`: bilinear; else square pixels stay square. */
void sp_paint_picture(sp_paint *paint, const sp_picture *picture, sp_rect source, sp_rect target,
                      bool smooth);
/* The whole picture with its pixel (0, 0) at `origin`, turned clockwise about it and zoomed. */
void sp_paint_turned_picture(sp_paint *paint, const sp_picture *picture, sp_point origin,
                             double turn_deg, double zoom);

sp_size sp_paint_text_size(sp_paint *paint, const sp_text_style *style, const char *text);
/* `at` is the top-left corner of the text's box. Returns the size drawn. */
sp_size sp_paint_text(sp_paint *paint, const sp_text_style *style, sp_point at, const char *text);

#endif
