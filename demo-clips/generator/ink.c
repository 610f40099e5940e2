#include "ink.h"

#include <stddef.h>

#define CORNERS_MAX 64

static const double cut_depth = 0.1; /* m in front of the camera */

ink ink_of(uint32_t rgb) {
    return (ink){((rgb >> 16) & 0xff) / 255.0, ((rgb >> 8) & 0xff) / 255.0, (rgb & 0xff) / 255.0};
}

ink ink_lit(ink c, double share) {
    double to = share > 0.0 ? 1.0 : 0.0, s = fabs(share);
    return (ink){c.r + (to - c.r) * s, c.g + (to - c.g) * s, c.b + (to - c.b) * s};
}

void ink_set(cairo_t *cr, ink c, double alpha) { cairo_set_source_rgba(cr, c.r, c.g, c.b, alpha); }

/* Adds the points from `from` to `to`, without `from` itself. */
static void draw_to(cairo_t *cr, const camera *c, vector from, vector to) {
    int pieces = c->k1 != 0.0 ? 24 : 1;
    for (int i = 1; i <= pieces; ++i) {
        spot p;
        if (camera_sees(c, blend(from, to, (double)i / pieces), &p)) cairo_line_to(cr, p.x, p.y);
    }
}

static vector where_cut(const camera *c, vector a, vector b) {
    double da = camera_depth(c, a) - cut_depth, db = camera_depth(c, b) - cut_depth;
    return blend(a, b, da / (da - db));
}

static size_t cut(const camera *c, const vector *corner, size_t count, vector *kept) {
    size_t n = 0;
    for (size_t i = 0; i < count; ++i) {
        vector a = corner[i], b = corner[(i + 1) % count];
        bool a_in = camera_depth(c, a) > cut_depth, b_in = camera_depth(c, b) > cut_depth;
        if (a_in) kept[n++] = a;
        if (a_in != b_in) kept[n++] = where_cut(c, a, b);
    }
    return n;
}

void ink_polygon(cairo_t *cr, const camera *c, const vector *corner, size_t count) {
    vector kept[2 * CORNERS_MAX];
    if (count > CORNERS_MAX) return;
    size_t n = cut(c, corner, count, kept);
    if (n < 3) return;
    cairo_new_sub_path(cr);
    for (size_t i = 0; i < n; ++i) draw_to(cr, c, kept[i], kept[(i + 1) % n]);
    cairo_close_path(cr);
}

void ink_line(cairo_t *cr, const camera *c, vector from, vector to) {
    bool from_in = camera_depth(c, from) > cut_depth, to_in = camera_depth(c, to) > cut_depth;
    if (!from_in && !to_in) return;
    if (!from_in) from = where_cut(c, from, to);
    if (!to_in) to = where_cut(c, from, to);
    spot p;
    if (!camera_sees(c, from, &p)) return;
    cairo_move_to(cr, p.x, p.y);
    draw_to(cr, c, from, to);
}
