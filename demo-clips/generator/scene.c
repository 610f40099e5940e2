#include "scene.h"

#include "backdrop.h"
#include "court.h"

static const uint32_t court_ink = 0xB4664A, surround_ink = 0x3F6B5C, line_ink = 0xF4EFE4;
static const uint32_t net_ink = 0x1B2026, band_ink = 0xF4EFE4, post_ink = 0x20333A;
static const uint32_t tape_ink = 0xF2B134, wood_ink = 0x8C5A3B, ball_ink = 0xDDF04A;

static const double grounds_side = 9.15, grounds_near = -6.4, grounds_far = 30.2; /* the fence */

static void fill_ground(cairo_t *cr, const camera *c, const painted *r, ink colour) {
    vector corner[] = {vec(r->left, r->near, 0.0), vec(r->right, r->near, 0.0),
                       vec(r->right, r->far, 0.0), vec(r->left, r->far, 0.0)};
    cairo_new_path(cr);
    ink_polygon(cr, c, corner, 4);
    ink_set(cr, colour, 1.0);
    cairo_fill(cr);
}

/* The floodlights' pool: brighter about the server, darker toward the edges of the picture. */
static void light_ground(cairo_t *cr, const camera *c) {
    spot middle;
    if (!camera_sees(c, vec(0.2, 1.0, 0.0), &middle)) return;
    double reach = 1.1 * fmax(c->width, c->height);
    cairo_pattern_t *pool =
        cairo_pattern_create_radial(middle.x, middle.y, 0.05 * reach, middle.x, middle.y, reach);
    cairo_pattern_add_color_stop_rgba(pool, 0.0, 1.0, 0.88, 0.66, 0.20);
    cairo_pattern_add_color_stop_rgba(pool, 0.4, 1.0, 0.82, 0.60, 0.05);
    cairo_pattern_add_color_stop_rgba(pool, 1.0, 0.03, 0.02, 0.10, 0.42);
    const painted all = {-grounds_side, grounds_side, grounds_near, grounds_far};
    vector corner[] = {vec(all.left, all.near, 0.0), vec(all.right, all.near, 0.0),
                       vec(all.right, all.far, 0.0), vec(all.left, all.far, 0.0)};
    cairo_new_path(cr);
    ink_polygon(cr, c, corner, 4);
    cairo_set_source(cr, pool);
    cairo_fill(cr);
    cairo_pattern_destroy(pool);
}

static void paint_ground(cairo_t *cr, const camera *c) {
    const painted grounds = {-60.0, 60.0, -60.0, 90.0};
    const painted court = {-HALF_DOUBLES, HALF_DOUBLES, 0.0, COURT_LENGTH};
    fill_ground(cr, c, &grounds, ink_of(surround_ink));
    fill_ground(cr, c, &court, ink_of(court_ink));
    for (size_t i = 0; i < court_line_count; ++i) {
        fill_ground(cr, c, &court_lines[i], ink_of(line_ink));
    }
    light_ground(cr, c);
}

static double cord_height(double x) {
    return NET_MIDDLE + (NET_POST - NET_MIDDLE) * fabs(x) / POST_FROM_MIDDLE;
}

static void stroke_line(cairo_t *cr, const camera *c, vector a, vector b, double width_m,
                        double least_px) {
    vector nearer = camera_depth(c, a) < camera_depth(c, b) ? a : b;
    double px = camera_scale(c, blend(a, b, 0.5));
    if (px <= 0.0) px = camera_scale(c, nearer);
    cairo_new_path(cr);
    ink_line(cr, c, a, b);
    cairo_set_line_width(cr, fmax(width_m * px, least_px));
    cairo_stroke(cr);
}

static void net_mesh(cairo_t *cr, const camera *c) {
    const double half = POST_FROM_MIDDLE;
    vector sheet[] = {vec(-half, NET_LINE, 0.0), vec(half, NET_LINE, 0.0),
                      vec(half, NET_LINE, NET_POST), vec(0.0, NET_LINE, NET_MIDDLE),
                      vec(-half, NET_LINE, NET_POST)};
    cairo_new_path(cr);
    ink_polygon(cr, c, sheet, 5);
    ink_set(cr, ink_of(net_ink), 0.40);
    cairo_fill(cr);
    ink_set(cr, ink_of(net_ink), 0.45);
    for (double x = -half; x <= half; x += 0.12) {
        stroke_line(cr, c, vec(x, NET_LINE, 0.0), vec(x, NET_LINE, cord_height(x)), 0.003, 0.4);
    }
}

static void paint_net(cairo_t *cr, const camera *c) {
    const double half = POST_FROM_MIDDLE, deep = 0.06;
    net_mesh(cr, c);
    for (int side = -1; side <= 1; side += 2) {
        double x = side * half;
        vector cord[] = {vec(0.0, NET_LINE, NET_MIDDLE), vec(x, NET_LINE, NET_POST),
                         vec(x, NET_LINE, NET_POST - deep), vec(0.0, NET_LINE, NET_MIDDLE - deep)};
        cairo_new_path(cr);
        ink_polygon(cr, c, cord, 4);
        ink_set(cr, ink_of(band_ink), 1.0);
        cairo_fill(cr);
        ink_set(cr, ink_of(post_ink), 1.0);
        stroke_line(cr, c, vec(x, NET_LINE, 0.0), vec(x, NET_LINE, NET_POST + 0.02), 0.08, 1.5);
    }
    ink_set(cr, ink_of(band_ink), 1.0);
    stroke_line(cr, c, vec(0.0, NET_LINE, 0.0), vec(0.0, NET_LINE, NET_MIDDLE), 0.05, 1.0);
}

static void paint_bench(cairo_t *cr, const camera *c, double x, double y) {
    ink_set(cr, ink_lit(ink_of(wood_ink), -0.55), 1.0);
    for (int end = 0; end <= 1; ++end) {
        double leg = y + 0.15 + 1.2 * end;
        stroke_line(cr, c, vec(x, leg, 0.0), vec(x, leg, 0.44), 0.06, 1.0);
        stroke_line(cr, c, vec(x - 0.3, leg, 0.44), vec(x - 0.36, leg, 0.85), 0.05, 1.0);
    }
    for (int slat = 0; slat < 4; ++slat) {
        double at_x = slat < 2 ? x - 0.15 * slat : x - 0.33;
        double z = slat < 2 ? 0.45 : 0.46 + 0.17 * (slat - 1);
        ink_set(cr, ink_lit(ink_of(wood_ink), 0.10 * slat - 0.1), 1.0);
        stroke_line(cr, c, vec(at_x, y, z), vec(at_x, y + 1.5, z), 0.09, 1.5);
    }
}

static void paint_basket(cairo_t *cr, const camera *c, double x, double y) {
    spot p;
    for (int i = 0; i < 14; ++i) {
        vector at = vec(x - 0.10 + 0.05 * (i % 5), y - 0.12 + 0.06 * (i % 4) + 0.01 * (i / 5),
                        0.50 + 0.025 * (i / 5));
        if (!camera_sees(c, at, &p)) return;
        cairo_new_path(cr);
        cairo_arc(cr, p.x, p.y, 0.0335 * camera_scale(c, at), 0.0, 2.0 * M_PI);
        ink_set(cr, ink_lit(ink_of(ball_ink), -0.12 - 0.03 * (i % 3)), 1.0);
        cairo_fill(cr);
    }
    ink_set(cr, ink_of(post_ink), 0.9);
    for (int i = -2; i <= 2; ++i) {
        stroke_line(cr, c, vec(x, y + 0.08 * i, 0.20), vec(x, y + 0.09 * i, 0.52), 0.012, 0.7);
    }
    for (int end = -1; end <= 1; end += 2) {
        stroke_line(cr, c, vec(x, y + 0.16 * end, 0.0), vec(x, y + 0.19 * end, 0.80), 0.018, 0.8);
    }
    for (int row = 0; row < 4; ++row) {
        double z = 0.20 + 0.107 * row;
        stroke_line(cr, c, vec(x, y - 0.18, z), vec(x, y + 0.18, z), 0.012, 0.7);
    }
}

tape scene_tape(double apart_m, vector stance) {
    double middle = stance.y - 0.20;
    return (tape){apart_m, vec(stance.x, middle - 0.5 * apart_m, 0.0),
                  vec(stance.x, middle + 0.5 * apart_m, 0.0)};
}

static void paint_cross(cairo_t *cr, const camera *c, vector middle) {
    const double arm = 0.10, half = 0.012;
    const painted bars[] = {
        {middle.x - arm, middle.x + arm, middle.y - half, middle.y + half},
        {middle.x - half, middle.x + half, middle.y - arm, middle.y + arm},
    };
    for (int i = 0; i < 2; ++i) fill_ground(cr, c, &bars[i], ink_of(tape_ink));
}

void scene_paint(cairo_t *cr, const camera *c, const tape *marks) {
    backdrop_sky(cr, c);
    paint_ground(cr, c);
    backdrop_fence(cr, c, grounds_side, grounds_near, grounds_far);
    paint_bench(cr, c, -8.3, -4.6);
    paint_net(cr, c);
    paint_basket(cr, c, -2.6, -2.2);
    if (marks->apart_m > 0.0) {
        paint_cross(cr, c, marks->rear);
        paint_cross(cr, c, marks->front);
    }
}
