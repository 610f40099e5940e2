#include "draw/scene.h"

#include <math.h>
#include <string.h>

#include "serveplumb/plumb.h"

/* Of the shorter side and of the width: figures of 2.7 % of a phone's width or more, upright or
 * turned. A figure is 0.73 of its em high in DejaVu Sans. */
#define TEXT_OF_SHORT 0.038
#define TEXT_OF_WIDTH 0.027
#define LINES_PER_TEXT 5.8
/* A player far away is not to vanish behind thick lines. */
#define LINES_PER_FIGURE 85.0
#define LINES_PER_TEXT_MOST 12.0

/* The larger side of the box around the body's points on a frame, upright pixels. */
static double body_size(const sp_review *review, int frame) {
    double left = INFINITY, top = INFINITY, right = -INFINITY, bottom = -INFINITY;
    for (int name = 0; name < SP_POINT_RACQUET_BUTT; name++) {
        sp_mark mark;
        if (!sp_review_mark(review, frame, (sp_point_name)name, &mark)) continue;
        left = fmin(left, mark.at.x);
        right = fmax(right, mark.at.x);
        top = fmin(top, mark.at.y);
        bottom = fmax(bottom, mark.at.y);
    }
    return fmax(0.0, fmax(right - left, bottom - top));
}

/* Of this frame and the moments, so that lines keep their width from frame to frame. */
static double figure_size(const scene *s) {
    const sp_review *review = s->overlay->review;
    double size = body_size(review, s->overlay->frame);
    for (size_t i = 0; i < sp_review_moment_count(review); i++)
        size = fmax(size, body_size(review, sp_review_moment_at(review, i)->frame));
    return size > 0.0 ? size * s->overlay->zoom : INFINITY;
}

static double fitted_text(const sp_overlay *overlay) {
    const sp_rect area = overlay->area;
    if (overlay->text > 0.0) return overlay->text;
    if (overlay->line > 0.0) return overlay->line * LINES_PER_TEXT;
    return fmax(TEXT_OF_SHORT * fmin(area.width, area.height), TEXT_OF_WIDTH * area.width);
}

static void set_sizes(scene *s) {
    const sp_overlay *overlay = s->overlay;
    s->text = fmax(fitted_text(overlay), overlay->theme->small_px);
    s->line = overlay->line;
    s->figure = figure_size(s);
    if (!(s->line > 0.0))
        s->line = fmax(s->text / LINES_PER_TEXT_MOST,
                       fmin(s->text / LINES_PER_TEXT, s->figure / LINES_PER_FIGURE));
    s->board = (room_board){.area = overlay->area, .em = s->text, .gap = s->text * 0.18};
}

sp_point sp_scene_place(const scene *s, sp_point upright) {
    const double turn = s->overlay->turn_deg * M_PI / 180.0, zoom = s->overlay->zoom;
    const double right = upright.x * cos(turn) - upright.y * sin(turn);
    const double down = upright.x * sin(turn) + upright.y * cos(turn);
    return (sp_point){s->overlay->origin_x + right * zoom, s->overlay->origin_y + down * zoom};
}

bool sp_scene_in_area(const scene *s, sp_point at) {
    return sp_room_inside(s->overlay->area, (sp_rect){at.x, at.y, 0.0, 0.0});
}

static void set_spot(scene *s, int spot, sp_point at) {
    s->spots[spot].there = true;
    s->spots[spot].at = at;
}

static void set_between(scene *s, int spot, int a, int b) {
    if (s->spots[a].there && s->spots[b].there)
        set_spot(s, spot, sp_point_middle(s->spots[a].at, s->spots[b].at));
}

static void set_first(scene *s, int spot, const int *choices, int count) {
    for (int i = 0; i < count && !s->spots[spot].there; i++)
        if (s->spots[choices[i]].there) set_spot(s, spot, s->spots[choices[i]].at);
}

static void read_points(scene *s) {
    const sp_review *review = s->overlay->review;
    const sp_hand hand = sp_review_get_player(review)->hand;
    s->selected = -1;
    for (int name = 0; name < SP_POINT_COUNT; name++) {
        const sp_point_name as_right = sp_point_for_hand((sp_point_name)name, hand);
        if (s->overlay->selected == name) s->selected = (int)as_right;
        sp_mark mark;
        if (!sp_review_mark(review, s->overlay->frame, (sp_point_name)name, &mark)) continue;
        set_spot(s, (int)as_right, sp_scene_place(s, mark.at));
        s->spots[as_right].by = mark.by;
    }
    set_between(s, SPOT_HIPS, SP_POINT_LEFT_HIP, SP_POINT_RIGHT_HIP);
    set_between(s, SPOT_SHOULDERS, SP_POINT_LEFT_SHOULDER, SP_POINT_RIGHT_SHOULDER);
    set_first(s, SPOT_HEAD, (const int[]){SP_POINT_NOSE}, 1);
    if (!s->spots[SPOT_HEAD].there)
        set_between(s, SPOT_HEAD, SP_POINT_LEFT_EAR, SP_POINT_RIGHT_EAR);
    set_first(
        s, SPOT_HEAD,
        (const int[]){SP_POINT_RIGHT_EAR, SP_POINT_LEFT_EAR, SP_POINT_RIGHT_EYE, SP_POINT_LEFT_EYE},
        4);
    set_first(s, SPOT_HAND, (const int[]){SP_POINT_RIGHT_HAND, SP_POINT_RIGHT_WRIST}, 2);
    set_first(s, SPOT_OFF_HAND, (const int[]){SP_POINT_LEFT_HAND, SP_POINT_LEFT_WRIST}, 2);
    set_first(s, SPOT_GRIP, (const int[]){SP_POINT_RACQUET_BUTT, SPOT_HAND}, 2);
}

void sp_scene_build(scene *s, sp_paint *paint, const sp_overlay *overlay) {
    *s = (scene){.paint = paint, .overlay = overlay};
    const sp_color ground = overlay->theme->label_ground;
    s->outline = (sp_color){ground.r, ground.g, ground.b, 0.78};
    s->plumb_deg = sp_review_get_plumb(overlay->review)->angle_deg + overlay->turn_deg;
    read_points(s);
    set_sizes(s);
}

scene_label *sp_scene_add_label(scene *s, sp_color hue, room_wish wish) {
    if (s->label_count == SCENE_LABELS_MAX || !sp_scene_in_area(s, wish.anchor)) return NULL;
    scene_label *label = &s->labels[s->label_count++];
    *label = (scene_label){.hue = hue, .wish = wish};
    return label;
}

const sp_measure *sp_scene_measure(const scene *s, const char *id, const char *moment) {
    const sp_readout *readout = s->overlay->readout;
    if (readout == NULL || !s->overlay->numbers) return NULL;
    for (size_t i = 0; i < sp_readout_count(readout); i++) {
        const sp_measure *measure = sp_readout_at(readout, i);
        if (measure->frame != s->overlay->frame || strcmp(measure->kind->id, id) != 0) continue;
        if (moment != NULL && strcmp(measure->kind->moment, moment) != 0) continue;
        if (measure->status != SP_STATUS_OK && measure->status != SP_STATUS_PROJECTED) continue;
        if (isfinite(measure->value.value)) return measure;
    }
    return NULL;
}

static double outlined(const scene *s, double width) { return width + fmax(1.5, 0.62 * s->line); }

void sp_scene_line(scene *s, sp_point a, sp_point b, double width, sp_color hue) {
    sp_paint_line(s->paint, a, b, outlined(s, width), s->outline);
    sp_paint_line(s->paint, a, b, width, hue);
}

void sp_scene_dashed(scene *s, sp_point a, sp_point b, double width, sp_color hue) {
    sp_color veil = s->outline;
    veil.a *= 0.75;
    sp_paint_line(s->paint, a, b, outlined(s, width), veil);
    sp_paint_dashed_line(s->paint, a, b, width, 2.4 * s->line, 1.5 * s->line, hue);
}

void sp_scene_arc(scene *s, sp_point center, double radius, double from, double to, double width,
                  sp_color hue) {
    sp_paint_arc(s->paint, center, radius, from, to, outlined(s, width), s->outline);
    sp_paint_arc(s->paint, center, radius, from, to, width, hue);
}
