#include "paint.h"

#include <stdlib.h>

enum { AROUND = 24, HULL_MAX = 8 * AROUND };

static int by_x_then_y(const void *a, const void *b) {
    const spot *p = a, *q = b;
    if (p->x != q->x) return p->x < q->x ? -1 : 1;
    return (p->y > q->y) - (p->y < q->y);
}

static double side_of(spot a, spot b, spot c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/* The convex hull of the points as a path (monotone chain, from memory). */
static void hull_path(cairo_t *cr, spot *point, size_t count) {
    if (count < 3) return;
    spot chain[2 * HULL_MAX];
    size_t n = 0;
    qsort(point, count, sizeof *point, by_x_then_y);
    for (size_t i = 0; i < count; ++i) {
        while (n >= 2 && side_of(chain[n - 2], chain[n - 1], point[i]) <= 0.0) --n;
        chain[n++] = point[i];
    }
    size_t lower = n + 1;
    for (size_t i = count - 1; i-- > 0;) {
        while (n >= lower && side_of(chain[n - 2], chain[n - 1], point[i]) <= 0.0) --n;
        chain[n++] = point[i];
    }
    cairo_new_path(cr);
    for (size_t i = 0; i + 1 < n; ++i) cairo_line_to(cr, chain[i].x, chain[i].y);
    cairo_close_path(cr);
}

static void body_path(cairo_t *cr, const blot *blots, size_t count) {
    spot point[HULL_MAX];
    size_t n = 0;
    for (size_t i = 0; i < count && n + AROUND <= HULL_MAX; ++i) {
        int steps = blots[i].radius < 4.0 ? AROUND / 2 : AROUND;
        for (int k = 0; k < steps; ++k) {
            double angle = 2.0 * M_PI * k / steps;
            point[n++] = (spot){blots[i].x + blots[i].radius * cos(angle),
                                blots[i].y + blots[i].radius * sin(angle)};
        }
    }
    hull_path(cr, point, n);
}

/* Across a body, from its dark to its lit side. */
static cairo_pattern_t *rounding(const blot *blots, size_t count, const camera *c, ink colour) {
    vector lamp = sight_to_lamp();
    double lx = dot(lamp, c->right), ly = dot(lamp, c->down);
    double dx = blots[count - 1].x - blots[0].x, dy = blots[count - 1].y - blots[0].y;
    double far = hypot(dx, dy), nx = lx, ny = ly;
    if (far > blots[0].radius) {
        double turned = (-dy * lx + dx * ly) < 0.0 ? -1.0 : 1.0;
        nx = -dy / far * turned;
        ny = dx / far * turned;
    }
    double size = hypot(nx, ny), low = HUGE_VAL, high = -HUGE_VAL;
    if (size < 1e-9) size = 1.0;
    nx /= size;
    ny /= size;
    for (size_t i = 0; i < count; ++i) {
        double t = blots[i].x * nx + blots[i].y * ny;
        low = fmin(low, t - blots[i].radius);
        high = fmax(high, t + blots[i].radius);
    }
    double strength = 0.35 + 0.65 * fabs(lx * nx + ly * ny);
    double x = blots[0].x, y = blots[0].y, t0 = x * nx + y * ny;
    cairo_pattern_t *p = cairo_pattern_create_linear(x + nx * (low - t0), y + ny * (low - t0),
                                                     x + nx * (high - t0), y + ny * (high - t0));
    ink dark = ink_lit(colour, -0.42 * strength), lit = ink_lit(colour, 0.22 * strength);
    cairo_pattern_add_color_stop_rgb(p, 0.0, dark.r, dark.g, dark.b);
    cairo_pattern_add_color_stop_rgb(p, 0.55, colour.r, colour.g, colour.b);
    cairo_pattern_add_color_stop_rgb(p, 1.0, lit.r, lit.g, lit.b);
    return p;
}

static void paint_hull(cairo_t *cr, const shape *s, const blot *blots, const camera *c) {
    body_path(cr, blots, s->count);
    if (s->alpha < 1.0) {
        ink_set(cr, s->colour, s->alpha);
        cairo_fill(cr);
        return;
    }
    cairo_pattern_t *shade = rounding(blots, s->count, c, s->colour);
    cairo_set_source(cr, shade);
    cairo_fill_preserve(cr);
    cairo_pattern_destroy(shade);
    ink_set(cr, ink_lit(s->colour, -0.55), 0.35);
    cairo_set_line_width(cr, 0.9);
    cairo_stroke(cr);
}

static void chain_path(cairo_t *cr, const blot *blots, size_t count) {
    cairo_new_path(cr);
    for (size_t i = 0; i < count; ++i) cairo_line_to(cr, blots[i].x, blots[i].y);
}

static void paint_shape(cairo_t *cr, const shape *s, const blot *blots, const camera *c) {
    if (s->kind == SHAPE_HULL) {
        paint_hull(cr, s, blots, c);
        return;
    }
    chain_path(cr, blots, s->count);
    if (s->kind != SHAPE_LINE) cairo_close_path(cr);
    ink_set(cr, s->colour, s->alpha);
    if (s->kind == SHAPE_FACE) {
        cairo_fill(cr);
        return;
    }
    cairo_set_line_width(cr, fmax(2.0 * blots[0].radius, 0.7));
    cairo_stroke(cr);
}

static void paint_part(cairo_t *cr, const sight *s, part which, const camera *c) {
    for (int layer = 0; layer <= 8; ++layer) {
        for (size_t i = 0; i < s->figure.shape_count; ++i) {
            const shape *sh = &s->figure.shapes[i];
            if (sh->part == which && sh->layer == layer) {
                paint_shape(cr, sh, s->blots + sh->first, c);
            }
        }
    }
}

void paint_figure(cairo_t *cr, const sight *s, const camera *c) {
    part order[PART_COUNT] = {PART_OFF_LEG};
    double depth[PART_COUNT];
    for (part i = 0; i < PART_COUNT; ++i) {
        depth[i] = camera_depth(c, s->figure.anchor[i]) - s->figure.nearer[i];
        part place = i;
        for (; place > 0 && depth[order[place - 1]] < depth[i]; --place) {
            order[place] = order[place - 1];
        }
        order[place] = i;
    }
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    for (int i = 0; i < PART_COUNT; ++i) paint_part(cr, s, order[i], c);
}

static void shadow_path(cairo_t *cr, const disc *discs, size_t count, const camera *c) {
    spot point[HULL_MAX];
    size_t n = 0;
    for (size_t i = 0; i < count && n + AROUND / 2 <= HULL_MAX; ++i) {
        vector middle = sight_shadow(discs[i].at);
        for (int k = 0; k < AROUND / 2; ++k) {
            double angle = 4.0 * M_PI * k / AROUND;
            vector rim =
                add(middle, vec(discs[i].radius * cos(angle), discs[i].radius * sin(angle), 0.0));
            if (camera_sees(c, rim, &point[n])) ++n;
        }
    }
    hull_path(cr, point, n);
}

/* All shadows as one stain, so that where they overlap it is no darker. */
void paint_shadow(cairo_t *cr, const sight *s, const camera *c) {
    cairo_push_group_with_content(cr, CAIRO_CONTENT_ALPHA);
    cairo_set_source_rgba(cr, 0.0, 0.0, 0.0, 1.0);
    for (size_t i = 0; i < s->figure.shape_count; ++i) {
        const shape *sh = &s->figure.shapes[i];
        const disc *d = s->figure.discs + sh->first;
        if (sh->kind == SHAPE_LINE || sh->kind == SHAPE_FACE || sh->count < 1) continue;
        if (sh->kind == SHAPE_HULL) {
            shadow_path(cr, d, sh->count, c);
            cairo_fill(cr);
            continue;
        }
        vector rim[64];
        for (size_t k = 0; k < sh->count; ++k) rim[k] = sight_shadow(d[k].at);
        cairo_new_path(cr);
        ink_polygon(cr, c, rim, sh->count);
        cairo_set_line_width(cr, 2.0 * d[0].radius * camera_scale(c, rim[0]));
        cairo_stroke(cr);
    }
    cairo_pattern_t *stain = cairo_pop_group(cr);
    cairo_set_source_rgba(cr, 0.05, 0.03, 0.12, 0.34);
    cairo_mask(cr, stain);
    cairo_pattern_destroy(stain);
}
