#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "draw/painter.h"

/* cairo's coordinates are 24.8 fixed point; beyond this they wrap around. */
#define NUMBER_MAX 4.0e6

bool sp_painter_good(sp_paint *paint) {
    if (paint->first.code != SP_ERROR_NONE) return false;
    const cairo_status_t status = cairo_status(paint->cairo);
    if (status == CAIRO_STATUS_SUCCESS) return true;
    const sp_error_code code =
        status == CAIRO_STATUS_NO_MEMORY ? SP_ERROR_MEMORY : SP_ERROR_ARGUMENT;
    return sp_fail(&paint->first, code, "the picture cannot be drawn: %s; close others and retry",
                   cairo_status_to_string(status));
}

double sp_painter_number(sp_paint *paint, double value) {
    if (!isfinite(value)) {
        if (paint->first.code == SP_ERROR_NONE)
            sp_fail(&paint->first, SP_ERROR_ARGUMENT,
                    "something was to be drawn at a place that is not a number; the rest of the "
                    "picture is left out");
        return 0.0;
    }
    const double limit = NUMBER_MAX / paint->density;
    return fmax(-limit, fmin(limit, value));
}

void sp_painter_set_color(sp_paint *paint, sp_color color) {
    cairo_set_source_rgba(paint->cairo, color.r, color.g, color.b, color.a);
}

sp_paint *sp_painter_new(cairo_surface_t *surface, double density, sp_error *error) {
    sp_paint *paint = calloc(1, sizeof *paint);
    if (paint == NULL) {
        cairo_surface_destroy(surface);
        sp_fail(error, SP_ERROR_MEMORY, "no memory to draw with");
        return NULL;
    }
    paint->density = density;
    paint->surface = surface;
    paint->cairo = cairo_create(paint->surface);
    if (!sp_painter_good(paint)) {
        if (error != NULL) *error = paint->first;
        sp_paint_free(paint);
        return NULL;
    }
    cairo_scale(paint->cairo, density, density);
    cairo_set_line_cap(paint->cairo, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(paint->cairo, CAIRO_LINE_JOIN_ROUND);
    return paint;
}

sp_paint *sp_paint_new(sp_picture *target, double density, sp_error *error) {
    assert(target->pixels != NULL && density > 0.0);
    return sp_painter_new(cairo_image_surface_create_for_data(target->pixels, CAIRO_FORMAT_ARGB32,
                                                              target->width, target->height,
                                                              (int)target->stride),
                          density, error);
}

bool sp_paint_finish(sp_paint *paint, sp_error *error) {
    const bool good = sp_painter_good(paint);
    if (!good && error != NULL) *error = paint->first;
    cairo_surface_flush(paint->surface);
    cairo_surface_mark_dirty(paint->surface); /* others may write the pixels from here on */
    return good;
}

void sp_paint_free(sp_paint *paint) {
    if (paint == NULL) return;
    sp_painter_forget_layouts(paint);
    if (paint->context != NULL) g_object_unref(paint->context);
    cairo_destroy(paint->cairo);
    cairo_surface_destroy(paint->surface);
    free(paint);
}

void sp_paint_save(sp_paint *paint) {
    paint->saved++;
    if (sp_painter_good(paint)) cairo_save(paint->cairo);
}

void sp_paint_restore(sp_paint *paint) {
    assert(paint->saved > 0);
    paint->saved--;
    if (sp_painter_good(paint)) cairo_restore(paint->cairo);
}

static void path_rect(sp_paint *paint, sp_rect rect, double radius) {
    const double x = sp_painter_number(paint, rect.x), y = sp_painter_number(paint, rect.y);
    const double width = fmax(0.0, sp_painter_number(paint, rect.width));
    const double height = fmax(0.0, sp_painter_number(paint, rect.height));
    const double r = fmin(sp_painter_number(paint, radius), fmin(width, height) / 2.0);
    cairo_t *cairo = paint->cairo;
    cairo_new_path(cairo);
    if (r <= 0.0) {
        cairo_rectangle(cairo, x, y, width, height);
        return;
    }
    cairo_arc(cairo, x + width - r, y + r, r, -M_PI_2, 0.0);
    cairo_arc(cairo, x + width - r, y + height - r, r, 0.0, M_PI_2);
    cairo_arc(cairo, x + r, y + height - r, r, M_PI_2, M_PI);
    cairo_arc(cairo, x + r, y + r, r, M_PI, 3.0 * M_PI_2);
    cairo_close_path(cairo);
}

/* The last number checked may have been the first bad one: then nothing is put down. */
static void fill(sp_paint *paint, sp_color color) {
    if (!sp_painter_good(paint)) return;
    sp_painter_set_color(paint, color);
    cairo_fill(paint->cairo);
}

static void stroke(sp_paint *paint, double width, sp_color color) {
    const double line = fmax(0.0, sp_painter_number(paint, width));
    if (!sp_painter_good(paint)) return;
    cairo_set_line_width(paint->cairo, line);
    sp_painter_set_color(paint, color);
    cairo_stroke(paint->cairo);
}

void sp_paint_clip(sp_paint *paint, sp_rect rect) {
    if (!sp_painter_good(paint)) return;
    path_rect(paint, rect, 0.0);
    if (sp_painter_good(paint)) cairo_clip(paint->cairo);
}

void sp_paint_clear(sp_paint *paint, sp_color color) {
    if (!sp_painter_good(paint)) return;
    cairo_save(paint->cairo);
    cairo_set_operator(paint->cairo, CAIRO_OPERATOR_SOURCE);
    sp_painter_set_color(paint, color);
    cairo_paint(paint->cairo);
    cairo_restore(paint->cairo);
}

void sp_paint_fill_rect(sp_paint *paint, sp_rect rect, double radius, sp_color color) {
    if (!sp_painter_good(paint)) return;
    path_rect(paint, rect, radius);
    fill(paint, color);
}

void sp_paint_stroke_rect(sp_paint *paint, sp_rect rect, double radius, double width,
                          sp_color color) {
    if (!sp_painter_good(paint)) return;
    path_rect(paint, rect, radius);
    stroke(paint, width, color);
}

static void path_points(sp_paint *paint, const sp_point *points, int count) {
    cairo_new_path(paint->cairo);
    for (int i = 0; i < count; i++)
        cairo_line_to(paint->cairo, sp_painter_number(paint, points[i].x),
                      sp_painter_number(paint, points[i].y));
}

void sp_paint_line(sp_paint *paint, sp_point a, sp_point b, double width, sp_color color) {
    sp_paint_polyline(paint, (const sp_point[]){a, b}, 2, width, color);
}

void sp_paint_dashed_line(sp_paint *paint, sp_point a, sp_point b, double width, double on,
                          double off, sp_color color) {
    const double dashes[] = {sp_painter_number(paint, on), sp_painter_number(paint, off)};
    if (!sp_painter_good(paint)) return;
    cairo_save(paint->cairo);
    cairo_set_line_cap(paint->cairo, CAIRO_LINE_CAP_BUTT);
    cairo_set_dash(paint->cairo, dashes, 2, 0.0);
    sp_paint_line(paint, a, b, width, color);
    cairo_restore(paint->cairo);
}

void sp_paint_polyline(sp_paint *paint, const sp_point *points, int count, double width,
                       sp_color color) {
    if (!sp_painter_good(paint) || count < 1) return;
    path_points(paint, points, count);
    stroke(paint, width, color);
}

void sp_paint_polygon(sp_paint *paint, const sp_point *points, int count, sp_color color) {
    if (!sp_painter_good(paint) || count < 3) return;
    path_points(paint, points, count);
    cairo_close_path(paint->cairo);
    fill(paint, color);
}

static void path_arc(sp_paint *paint, sp_point center, double radius, double from, double to) {
    const double r = fmax(0.0, sp_painter_number(paint, radius));
    cairo_new_path(paint->cairo);
    cairo_arc(paint->cairo, sp_painter_number(paint, center.x), sp_painter_number(paint, center.y),
              r, sp_painter_number(paint, from), sp_painter_number(paint, to));
}

void sp_paint_disc(sp_paint *paint, sp_point center, double radius, sp_color color) {
    if (!sp_painter_good(paint)) return;
    path_arc(paint, center, radius, 0.0, 2.0 * M_PI);
    fill(paint, color);
}

void sp_paint_ring(sp_paint *paint, sp_point center, double radius, double width, sp_color color) {
    if (!sp_painter_good(paint)) return;
    path_arc(paint, center, radius, 0.0, 2.0 * M_PI);
    stroke(paint, width, color);
}

void sp_paint_arc(sp_paint *paint, sp_point center, double radius, double from, double to,
                  double width, sp_color color) {
    if (!sp_painter_good(paint)) return;
    path_arc(paint, center, radius, from, to);
    stroke(paint, width, color);
}

void sp_paint_picture(sp_paint *paint, const sp_picture *picture, sp_rect source, sp_rect target,
                      bool smooth) {
    if (!sp_painter_good(paint) || source.width <= 0.0 || source.height <= 0.0) return;
    path_rect(paint, target, 0.0);
    cairo_matrix_t map; /* from the target to the source */
    cairo_matrix_init_translate(&map, sp_painter_number(paint, source.x),
                                sp_painter_number(paint, source.y));
    cairo_matrix_scale(&map, source.width / target.width, source.height / target.height);
    cairo_matrix_translate(&map, -target.x, -target.y);
    if (!sp_painter_good(paint) || target.width <= 0.0 || target.height <= 0.0) return;
    /* cairo asks for writable pixels but only reads a source. */
    cairo_surface_t *pixels =
        cairo_image_surface_create_for_data(picture->pixels, CAIRO_FORMAT_ARGB32, picture->width,
                                            picture->height, (int)picture->stride);
    cairo_pattern_t *pattern = cairo_pattern_create_for_surface(pixels);
    cairo_pattern_set_matrix(pattern, &map);
    cairo_pattern_set_filter(pattern, smooth ? CAIRO_FILTER_GOOD : CAIRO_FILTER_NEAREST);
    cairo_pattern_set_extend(pattern, CAIRO_EXTEND_PAD); /* edges stay sharp */
    cairo_set_source(paint->cairo, pattern);
    cairo_fill(paint->cairo);
    cairo_pattern_destroy(pattern);
    cairo_surface_destroy(pixels);
}
