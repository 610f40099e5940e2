/* The scale: a bar of a round length in a corner, and the taps it comes from. */
#include "draw/scale_bar.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "draw/scene.h"

#define FOOT_M 0.3048

static const sp_bar_length metric[] = {
    {0.01, "1 cm"}, {0.02, "2 cm"}, {0.05, "5 cm"}, {0.1, "10 cm"}, {0.2, "20 cm"}, {0.5, "50 cm"},
    {1.0, "1 m"},   {2.0, "2 m"},   {5.0, "5 m"},   {10.0, "10 m"}, {20.0, "20 m"}, {50.0, "50 m"}};
static const sp_bar_length imperial[] = {
    {FOOT_M / 12, "1 in"},  {FOOT_M / 6, "2 in"},   {FOOT_M / 3, "4 in"},    {FOOT_M / 2, "6 in"},
    {FOOT_M, "1 ft"},       {2 * FOOT_M, "2 ft"},   {5 * FOOT_M, "5 ft"},    {10 * FOOT_M, "10 ft"},
    {20 * FOOT_M, "20 ft"}, {50 * FOOT_M, "50 ft"}, {100 * FOOT_M, "100 ft"}};

const sp_bar_length *sp_bar_length_for(double longest_m, sp_units units) {
    const sp_bar_length *table = units == SP_UNITS_METRIC ? metric : imperial;
    const size_t count = units == SP_UNITS_METRIC ? sizeof metric / sizeof metric[0]
                                                  : sizeof imperial / sizeof imperial[0];
    const sp_bar_length *best = NULL;
    for (size_t i = 0; i < count && table[i].metres <= longest_m * (1.0 + 1e-9); i++)
        best = &table[i];
    return best;
}

/* Half the interval as a share of the value: how far the bar may be off. */
static void percent_text(sp_interval scale, char *text, size_t size) {
    const double half = 50.0 * (scale.high - scale.low) / scale.value;
    text[0] = '\0';
    if (isfinite(half) && half > 0.0)
        snprintf(text, size, "\xc2\xb1%.*f %%", half < 0.95 ? 1 : 0, half);
}

typedef struct {
    double length, inset, foot;
    sp_size words;
    char text[48];
} bar;

static sp_text_style bar_style(const scene *s) {
    return (sp_text_style){.size = fmax(0.74 * s->text, s->overlay->theme->small_px),
                           .bold = true,
                           .digits = true,
                           .color = s->overlay->theme->label_text};
}

static bool find_bar(const scene *s, bar *found) {
    const sp_readout *readout = s->overlay->readout;
    if (readout == NULL || !s->overlay->scale_bar) return false;
    const sp_scale_reading scale = sp_readout_scale(readout);
    if (scale.id[0] == '\0' || !(scale.m_per_px.value > 0.0)) return false;
    const double m_per_unit = scale.m_per_px.value / s->overlay->zoom;
    const sp_bar_length *length =
        sp_bar_length_for(0.26 * s->overlay->area.width * m_per_unit, s->overlay->units);
    if (length == NULL) return false;
    char percent[24];
    percent_text(scale.m_per_px, percent, sizeof percent);
    snprintf(found->text, sizeof found->text, "%s  %s", length->name, percent);
    const sp_text_style style = bar_style(s);
    found->length = length->metres / m_per_unit;
    found->inset = 0.45 * s->text;
    found->foot = 1.0 * s->line;
    found->words = sp_paint_text_size(s->paint, &style, found->text);
    return true;
}

void sp_scene_draw_scale_bar(scene *s) {
    bar b;
    if (!find_bar(s, &b)) return;
    const sp_theme *theme = s->overlay->theme;
    const sp_size size = {fmax(b.length, b.words.width) + 2.0 * b.inset,
                          b.words.height + 0.35 * s->text + b.foot + 1.6 * b.inset};
    const sp_rect box = sp_room_corner(&s->board, size, 0.5 * s->text);
    sp_paint_fill_rect(s->paint, box, 0.28 * s->text, theme->label_ground);
    const sp_text_style style = bar_style(s);
    sp_paint_text(s->paint, &style, (sp_point){box.x + b.inset, box.y + 0.7 * b.inset}, b.text);
    const double y = box.y + box.height - 0.9 * b.inset - b.foot / 2.0;
    const double left = box.x + b.inset, right = left + b.length, tall = 1.3 * s->line;
    sp_paint_line(s->paint, (sp_point){left, y}, (sp_point){right, y}, 0.8 * s->line, theme->scale);
    sp_paint_line(s->paint, (sp_point){left, y - tall}, (sp_point){left, y + tall / 2.0},
                  0.8 * s->line, theme->scale);
    sp_paint_line(s->paint, (sp_point){right, y - tall}, (sp_point){right, y + tall / 2.0},
                  0.8 * s->line, theme->scale);
}

static void draw_cross(scene *s, sp_point at, sp_color hue) {
    const double r = 2.2 * s->line;
    sp_scene_line(s, (sp_point){at.x - r, at.y}, (sp_point){at.x + r, at.y}, 0.5 * s->line, hue);
    sp_scene_line(s, (sp_point){at.x, at.y - r}, (sp_point){at.x, at.y + r}, 0.5 * s->line, hue);
}

static void draw_pair(scene *s, sp_point a, sp_point b, sp_color hue) {
    const sp_point from = sp_scene_place(s, a), to = sp_scene_place(s, b);
    sp_scene_dashed(s, from, to, 0.5 * s->line, hue);
    draw_cross(s, from, hue);
    draw_cross(s, to, hue);
    sp_room_stroke(&s->board, from, to, 0.5);
}

void sp_scene_draw_taps(scene *s) {
    if (!s->overlay->scale_taps) return;
    const sp_review *review = s->overlay->review;
    const sp_scale_entry *scale = sp_review_active_scale(review);
    if (scale != NULL && scale->method == SP_SCALE_LINE && scale->frame == s->overlay->frame)
        draw_pair(s, scale->a, scale->b, s->overlay->theme->scale);
    const sp_plumb_entry *plumb = sp_review_get_plumb(review);
    const bool tapped = plumb->method == SP_PLUMB_LEVEL || plumb->method == SP_PLUMB_HANG;
    if (tapped && plumb->frame == s->overlay->frame)
        draw_pair(s, plumb->a, plumb->b, s->overlay->theme->plumb);
}
