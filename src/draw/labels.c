/* Labels: a dark plate with the thing's hue at its left edge, led to what it names. */
#include <math.h>
#include <stdio.h>

#include "draw/scene.h"
#include "draw/words.h"

#define PAD_X 0.38 /* em */
#define PAD_Y 0.16
#define EDGE 0.2 /* the stripe of hue */
#define WORD 0.3 /* between words and number */
#define STACKED_COST 0.3

/* A text of a label and where it stands on the plate. */
typedef struct {
    const char *text;
    sp_text_style style;
    sp_point at;
    sp_size size;
} piece;

void sp_scene_say(const scene *s, scene_label *label, const char *word, const sp_measure *measure) {
    label->projected = measure->status == SP_STATUS_PROJECTED;
    snprintf(label->word, sizeof label->word, "%s%s", word,
             label->projected ? " " SP_OVERLAY_PROJECTED_SIGN : "");
    sp_words_number(measure, s->overlay->units, label->number, sizeof label->number);
    sp_words_sign(measure, sp_review_get_view(s->overlay->review), label->after,
                  sizeof label->after);
    sp_words_interval(measure, s->overlay->units, label->interval, sizeof label->interval);
}

typedef enum { PIECE_WORD, PIECE_NUMBER, PIECE_AFTER, PIECE_INTERVAL, PIECE_COUNT } piece_name;

typedef struct {
    piece pieces[PIECE_COUNT];
    sp_size plate;
} layout;

static void measure_pieces(scene *s, const scene_label *label, layout *l) {
    const sp_color color = s->overlay->theme->label_text;
    const double least = s->overlay->theme->small_px;
    const sp_text_style word = {.size = fmax(0.84 * s->text, least), .color = color};
    const sp_text_style number = {.size = s->text, .bold = true, .digits = true, .color = color};
    const sp_text_style interval = {
        .size = fmax(0.76 * s->text, least), .digits = true, .color = color};
    l->pieces[PIECE_WORD] = (piece){.text = label->word, .style = word};
    l->pieces[PIECE_NUMBER] = (piece){.text = label->number, .style = number};
    l->pieces[PIECE_AFTER] = (piece){.text = label->after, .style = word};
    l->pieces[PIECE_INTERVAL] = (piece){.text = label->interval, .style = interval};
    for (int i = 0; i < PIECE_COUNT; i++)
        if (l->pieces[i].text[0] != '\0')
            l->pieces[i].size =
                sp_paint_text_size(s->paint, &l->pieces[i].style, l->pieces[i].text);
}

/* Puts a piece at the end of a row; the tallest of the row is the number, with which the smaller
 * ones share the baseline (an ascent is about 3/4 of a line in DejaVu Sans). */
static double put(piece *p, double x, double y, double row_height, double gap) {
    if (p->text[0] == '\0') return x;
    p->at = (sp_point){x, y + 0.79 * (row_height - p->size.height)};
    return x + p->size.width + gap;
}

/* All in one row, or the number first and the rest below it. */
static layout layout_of(scene *s, const scene_label *label, bool stacked) {
    layout l = {0};
    measure_pieces(s, label, &l);
    const double left = (PAD_X + EDGE) * s->text, gap = WORD * s->text;
    const double row = l.pieces[PIECE_NUMBER].size.height;
    double x = left, y = PAD_Y * s->text;
    for (int i = 0; i < (stacked ? PIECE_AFTER : PIECE_COUNT); i++)
        x = put(&l.pieces[i], x, y, row, gap);
    double right = x - gap;
    y += row;
    for (int i = stacked ? PIECE_AFTER : PIECE_COUNT; i < PIECE_COUNT; i++) {
        piece *p = &l.pieces[i];
        right = fmax(right, put(p, left, y, p->size.height, gap) - gap);
        y += p->size.height;
    }
    l.plate = (sp_size){right + PAD_X * s->text, y + PAD_Y * s->text};
    return l;
}

/* What labels keep off: the joints, and most of all the face. */
static void add_points(scene *s) {
    for (int name = 0; name < SP_POINT_COUNT; name++) {
        if (!s->spots[name].there) continue;
        const sp_point at = s->spots[name].at;
        const double r = 1.6 * s->line;
        sp_room_stroke(&s->board, (sp_point){at.x - r, at.y}, (sp_point){at.x + r, at.y}, 3.5);
        sp_room_stroke(&s->board, (sp_point){at.x, at.y - r}, (sp_point){at.x, at.y + r}, 3.5);
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

static void place_label(scene *s, scene_label *label) {
    double best = INFINITY;
    for (int stacked = 0; stacked < 2; stacked++) {
        const layout l = layout_of(s, label, stacked == 1);
        sp_rect rect;
        double cost;
        if (!sp_room_find(&s->board, &label->wish, l.plate, &rect, &cost)) continue;
        cost += stacked * STACKED_COST;
        if (cost >= best) continue;
        best = cost;
        label->rect = rect;
        label->placed = true;
        label->stacked = stacked == 1;
    }
    if (label->placed) sp_room_rect(&s->board, label->rect);
}

void sp_scene_place_labels(scene *s) {
    add_points(s);
    for (int i = 0; i < s->label_count; i++) place_label(s, &s->labels[i]);
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

static void draw_label(scene *s, const scene_label *label) {
    const double em = s->text;
    const sp_rect r = label->rect;
    sp_paint_fill_rect(s->paint, r, 0.26 * em, s->overlay->theme->label_ground);
    sp_paint_fill_rect(s->paint,
                       (sp_rect){r.x + 0.1 * em, r.y + 0.16 * em, 0.16 * em, r.height - 0.32 * em},
                       0.08 * em, label->hue);
    const layout l = layout_of(s, label, label->stacked);
    for (int i = 0; i < PIECE_COUNT; i++) {
        const piece *p = &l.pieces[i];
        if (p->text[0] == '\0') continue;
        sp_paint_text(s->paint, &p->style, (sp_point){r.x + p->at.x, r.y + p->at.y}, p->text);
    }
}

void sp_scene_draw_labels(scene *s) {
    for (int i = 0; i < s->label_count; i++)
        if (s->labels[i].placed) draw_leader(s, &s->labels[i]);
    for (int i = 0; i < s->label_count; i++)
        if (s->labels[i].placed) draw_label(s, &s->labels[i]);
}
