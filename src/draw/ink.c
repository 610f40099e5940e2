/* What the coach drew by hand. */
#include <math.h>

#include "draw/scene.h"
#include "serveplumb/stroke.h"

/* Of a line of the player. */
#define INK_WIDTH 0.95
#define HEAD_LENGTH 5.2
#define HEAD_HALF 2.1
#define WAY_MAX (sp_stroke_smooth_count(SP_INK_POINTS_MAX))

sp_color sp_theme_hue(const sp_theme *theme, sp_hue hue) {
    switch (hue) {
    case SP_HUE_HITTING_ARM: return theme->hitting_arm;
    case SP_HUE_BODY: return theme->body;
    case SP_HUE_RACQUET: return theme->racquet;
    case SP_HUE_BALL: return theme->ball;
    case SP_HUE_SCALE: return theme->scale;
    default: return theme->plumb;
    }
}

/* One mark on the painter. `share`: of its way, while it is being drawn. */
typedef struct {
    scene *s;
    sp_color hue;
    double width, edge;
} nib;

static void draw_way(const nib *n, const sp_point *way, size_t count) {
    if (count == 1) {
        sp_paint_disc(n->s->paint, way[0], n->width / 2.0 + n->edge, n->s->outline);
        sp_paint_disc(n->s->paint, way[0], n->width / 2.0, n->hue);
        return;
    }
    sp_paint_polyline(n->s->paint, way, (int)count, n->width + 2.0 * n->edge, n->s->outline);
    sp_paint_polyline(n->s->paint, way, (int)count, n->width, n->hue);
    for (size_t i = 1; i < count; i++) sp_room_stroke(&n->s->board, way[i - 1], way[i], 0.8);
}

static void draw_stroke(const nib *n, const sp_ink *ink, double share) {
    sp_point placed[SP_INK_POINTS_MAX], way[WAY_MAX];
    for (size_t i = 0; i < ink->count; i++) placed[i] = sp_scene_place(n->s, ink->points[i]);
    sp_stroke_smooth(placed, ink->count, way);
    draw_way(n, way, sp_stroke_cut(way, sp_stroke_smooth_count(ink->count), share));
}

static sp_point along(sp_point a, sp_point b, double share) {
    return sp_point_add(a, sp_point_times(sp_point_subtract(b, a), share));
}

static void head_of(sp_point tail, sp_point tip, double length, double half, sp_point corners[3]) {
    const sp_point way = sp_point_subtract(tip, tail);
    const double all = fmax(sp_point_length(way), 1e-9);
    const sp_point to = sp_point_times(way, 1.0 / all), across = {-to.y, to.x};
    const sp_point foot = sp_point_subtract(tip, sp_point_times(to, fmin(length, all)));
    corners[0] = tip;
    corners[1] = sp_point_add(foot, sp_point_times(across, half));
    corners[2] = sp_point_subtract(foot, sp_point_times(across, half));
}

/* The shaft ends inside the head, so that the tip is sharp. */
static void draw_arrow(const nib *n, sp_point tail, sp_point tip) {
    scene *s = n->s;
    const double length = HEAD_LENGTH * n->width, half = HEAD_HALF * n->width;
    sp_point head[3], around[3];
    head_of(tail, tip, length, half, head);
    const sp_point neck = along(sp_point_middle(head[1], head[2]), tip, 0.3);
    const sp_point way = sp_point_subtract(tip, tail);
    const double grow = 2.2 * n->edge / fmax(sp_point_length(way), 1e-9);
    head_of(tail, sp_point_add(tip, sp_point_times(way, grow)), length + 3.6 * n->edge,
            half + 2.0 * n->edge, around);
    sp_paint_line(s->paint, tail, neck, n->width + 2.0 * n->edge, s->outline);
    sp_paint_polygon(s->paint, around, 3, s->outline);
    sp_paint_line(s->paint, tail, neck, n->width, n->hue);
    sp_paint_polygon(s->paint, head, 3, n->hue);
    sp_room_stroke(&s->board, tail, tip, 1.0);
}

static void draw_circle(const nib *n, sp_point middle, sp_point rim) {
    const double r = sp_point_distance(middle, rim);
    sp_paint_ring(n->s->paint, middle, r, n->width + 2.0 * n->edge, n->s->outline);
    sp_paint_ring(n->s->paint, middle, r, n->width, n->hue);
    for (int i = 0; i < 16; i++) {
        const double a = i * M_PI / 8.0, b = (i + 1) * M_PI / 8.0;
        sp_room_stroke(&n->s->board, (sp_point){middle.x + r * cos(a), middle.y + r * sin(a)},
                       (sp_point){middle.x + r * cos(b), middle.y + r * sin(b)}, 0.8);
    }
}

static void draw_ink(scene *s, const sp_ink *ink, double share) {
    const nib n = {.s = s,
                   .hue = sp_theme_hue(s->overlay->theme, ink->hue),
                   .width = INK_WIDTH * s->line,
                   .edge = fmax(0.75, 0.31 * s->line)};
    const sp_point a = sp_scene_place(s, ink->points[0]);
    const sp_point b = along(a, sp_scene_place(s, ink->points[ink->count - 1]), share);
    switch (ink->kind) {
    case SP_INK_STROKE: draw_stroke(&n, ink, share); break;
    case SP_INK_LINE: draw_way(&n, (const sp_point[]){a, b}, 2); break;
    case SP_INK_ARROW: draw_arrow(&n, a, b); break;
    case SP_INK_CIRCLE: draw_circle(&n, a, b); break;
    }
}

void sp_scene_draw_ink(scene *s) {
    const sp_overlay *o = s->overlay;
    for (size_t i = 0; i < sp_review_ink_count(o->review); i++) {
        const sp_ink *ink = sp_review_ink_at(o->review, i);
        if (sp_ink_is_on(ink, o->frame)) draw_ink(s, ink, 1.0);
    }
    for (size_t i = 0; i < o->ink_count; i++)
        if (sp_ink_is_on(o->ink[i].ink, o->frame))
            draw_ink(s, o->ink[i].ink, fmax(0.0, fmin(o->ink[i].share, 1.0)));
}
