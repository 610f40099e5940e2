/* Labels: a dark plate with the thing's hue at its left edge, led to what it names. */
#include <math.h>

#include "draw/scene.h"

#define PAD_X 0.38 /* em */
#define PAD_Y 0.16
#define EDGE 0.2 /* the stripe of hue */
#define WORD 0.3 /* between words and number */

typedef struct {
    sp_text_style word, number, below;
    sp_size word_size, number_size, after_size, below_size;
    double first_width, width, height;
} layout;

static double space(const scene *s, const char *text) {
    return text[0] == '\0' ? 0.0 : WORD * s->text;
}

static layout layout_of(scene *s, const scene_label *label) {
    const sp_color color = s->overlay->theme->label_text;
    layout l = {.word = {.size = 0.84 * s->text, .color = color},
                .number = {.size = s->text, .bold = true, .digits = true, .color = color},
                .below = {.size = 0.74 * s->text, .digits = true, .color = color}};
    l.word_size = sp_paint_text_size(s->paint, &l.word, label->word);
    l.number_size = sp_paint_text_size(s->paint, &l.number, label->number);
    l.after_size = sp_paint_text_size(s->paint, &l.word, label->after);
    l.below_size = sp_paint_text_size(s->paint, &l.below, label->below);
    if (label->below[0] == '\0') l.below_size.height = 0.0;
    l.first_width = l.word_size.width + space(s, label->word) + l.number_size.width +
                    space(s, label->after) + l.after_size.width;
    l.width = fmax(l.first_width, l.below_size.width) + (2.0 * PAD_X + EDGE) * s->text;
    l.height = l.number_size.height + l.below_size.height + 2.0 * PAD_Y * s->text;
    return l;
}

/* What labels keep off: the joints, and most of all the face. */
static void add_points(scene *s) {
    for (int name = 0; name < SP_POINT_COUNT; name++) {
        if (!s->spots[name].there) continue;
        const sp_point at = s->spots[name].at;
        const double r = 1.6 * s->line;
        sp_room_stroke(&s->board, (sp_point){at.x - r, at.y}, (sp_point){at.x + r, at.y}, 5.0);
    }
    if (!s->spots[SPOT_HEAD].there) return;
    const sp_point head = s->spots[SPOT_HEAD].at;
    double r = 1.2 * s->text;
    if (s->spots[SPOT_SHOULDERS].there)
        r = fmax(r, 0.6 * sp_point_distance(head, s->spots[SPOT_SHOULDERS].at));
    for (int i = -1; i <= 1; i++)
        sp_room_stroke(&s->board, (sp_point){head.x - r, head.y + 0.6 * i * r},
                       (sp_point){head.x + r, head.y + 0.6 * i * r}, 1.5);
}

void sp_scene_place_labels(scene *s) {
    add_points(s);
    for (int i = 0; i < s->label_count; i++) {
        scene_label *label = &s->labels[i];
        const layout l = layout_of(s, label);
        label->placed =
            sp_room_find(&s->board, &label->wish, (sp_size){l.width, l.height}, &label->rect);
    }
}

/* A label that found no room beside its thing is led to it. */
static void draw_leader(scene *s, const scene_label *label) {
    const sp_rect r = label->rect;
    const sp_point anchor = label->wish.anchor;
    const sp_point near = {fmax(r.x, fmin(anchor.x, r.x + r.width)),
                           fmax(r.y, fmin(anchor.y, r.y + r.height))};
    if (sp_point_distance(near, anchor) < label->wish.ahead + 0.8 * s->text) return;
    sp_color white = s->overlay->theme->label_text;
    white.a = 0.9;
    sp_scene_line(s, near, anchor, 0.22 * s->line, white);
}

static void draw_plate(scene *s, const scene_label *label) {
    const double em = s->text;
    const sp_rect r = label->rect;
    sp_paint_fill_rect(s->paint, r, 0.26 * em, s->overlay->theme->label_ground);
    sp_paint_fill_rect(s->paint,
                       (sp_rect){r.x + 0.1 * em, r.y + 0.16 * em, 0.16 * em, r.height - 0.32 * em},
                       0.08 * em, label->hue);
}

static void draw_words(scene *s, const scene_label *label, const layout *l) {
    double x = label->rect.x + (PAD_X + EDGE) * s->text;
    const double y = label->rect.y + PAD_Y * s->text;
    const double drop = (l->number_size.height - l->word_size.height) * 0.75; /* one baseline */
    const double start = x;
    sp_paint_text(s->paint, &l->word, (sp_point){x, y + drop}, label->word);
    x += l->word_size.width + space(s, label->word);
    sp_paint_text(s->paint, &l->number, (sp_point){x, y}, label->number);
    x += l->number_size.width + space(s, label->after);
    sp_paint_text(s->paint, &l->word, (sp_point){x, y + drop}, label->after);
    sp_paint_text(s->paint, &l->below, (sp_point){start, y + l->number_size.height}, label->below);
}

void sp_scene_draw_labels(scene *s) {
    for (int i = 0; i < s->label_count; i++)
        if (s->labels[i].placed) draw_leader(s, &s->labels[i]);
    for (int i = 0; i < s->label_count; i++) {
        if (!s->labels[i].placed) continue;
        const layout l = layout_of(s, &s->labels[i]);
        draw_plate(s, &s->labels[i]);
        draw_words(s, &s->labels[i], &l);
    }
}
