#include "window/brush.h"

static sp_text_style style_of(words how, double width) {
    return (sp_text_style){.size = how.size,
                           .bold = how.bold,
                           .digits = how.digits,
                           .color = how.color,
                           .align = how.align,
                           .max_width = width,
                           .wrap = how.wrap};
}

sp_size brush_size(const brush *b, words how, double width, const char *text) {
    const sp_text_style style = style_of(how, width);
    return sp_paint_text_size(b->paint, &style, text);
}

double brush_text(const brush *b, words how, double x, double y, double width, const char *text) {
    const sp_text_style style = style_of(how, width);
    return sp_paint_text(b->paint, &style, (sp_point){x, y}, text).height;
}

void brush_line(const brush *b, words how, double x, double y, double width, const char *text) {
    how.wrap = false;
    const double height = brush_size(b, how, width, text).height;
    brush_text(b, how, x, y - height / 2, width, text);
}

words brush_body(const brush *b) {
    return (words){.size = b->theme->text_px, .color = b->theme->text};
}

words brush_faint(const brush *b) {
    return (words){.size = b->theme->small_px, .color = b->theme->faint};
}

void brush_sign(const brush *b, sign which, double x, double y) {
    const sp_theme *t = b->theme;
    switch (which) {
    case SIGN_DONE: {
        const sp_point tick[] = {{x - 5, y}, {x - 1.5, y + 4}, {x + 5.5, y - 4.5}};
        sp_paint_polyline(b->paint, tick, 3, 2.2, t->done);
        break;
    }
    case SIGN_NEXT: {
        const sp_point arrow[] = {{x - 4, y - 6}, {x + 6, y}, {x - 4, y + 6}};
        sp_paint_polygon(b->paint, arrow, 3, t->accent);
        break;
    }
    case SIGN_MISSING: sp_paint_ring(b->paint, (sp_point){x, y}, 4.5, 1.5, t->faint); break;
    case SIGN_WARN: {
        const sp_point triangle[] = {{x, y - 7}, {x + 8, y + 6}, {x - 8, y + 6}};
        sp_paint_polygon(b->paint, triangle, 3, t->warn);
        sp_paint_line(b->paint, (sp_point){x, y - 3}, (sp_point){x, y + 1.5}, 1.8, t->sheet);
        sp_paint_disc(b->paint, (sp_point){x, y + 3.8}, 1.1, t->sheet);
        break;
    }
    }
}

double brush_keys(const brush *b, double x, double y, const char *keys) {
    if (keys[0] == '\0') return 0;
    const words how = brush_faint(b);
    const sp_size size = brush_size(b, how, 0, keys);
    const double width = size.width + 12 < 22 ? 22 : size.width + 12;
    const sp_rect cap = {x - width + 0.5, y - 11 + 0.5, width - 1, 21};
    sp_paint_stroke_rect(b->paint, cap, 4, 1, b->theme->edge);
    brush_text(b, how, x - width / 2 - size.width / 2, y - size.height / 2, 0, keys);
    return width;
}

void brush_button(const brush *b, sp_rect rect, bool strong, action *act, int argument) {
    sp_paint_fill_rect(b->paint, rect, 6, strong ? b->theme->accent : b->theme->raised);
    brush_spot(b, rect, act, argument);
}

void brush_spot(const brush *b, sp_rect rect, action *act, int argument) {
    spots_add(b->spots, rect, act, argument);
    if (b->focus_act != act || b->focus_argument != argument) return;
    const sp_rect ring = {rect.x + 1, rect.y + 1, rect.width - 2, rect.height - 2};
    sp_paint_stroke_rect(b->paint, ring, 6, 2, b->theme->accent);
}
