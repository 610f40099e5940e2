#include <math.h>
#include <stdio.h>

#include "window/brush.h"
#include "window/card.h"
#include "window/card_frame.h"
#include "window/commands.h"
#include "window/court.h"
#include "window/state.h"

/* Units. */
#define MARGIN 24.0
#define KEY_HEAD 34.0
#define HEAD 52.0
#define BUTTON 44.0

static double units(const window *w, int pixels) { return pixels / w->layout.density; }

brush card_begin(window *w, double width, double height, sp_error *error) {
    const double d = w->layout.density;
    width = fmin(width, units(w, w->layout.width) - 16);
    height = fmin(height, units(w, w->layout.height) - 16);
    const SDL_Rect place = {(int)((w->layout.width - width * d) / 2),
                            (int)((w->layout.height - height * d) / 2), (int)(width * d),
                            (int)(height * d)};
    w->card.spots.count = 0;
    brush b = {.theme = w->theme, .spots = &w->card.spots};
    b.paint = pane_begin(&w->card.pane, place, d, true, error);
    if (b.paint == NULL) return b;
    const sp_rect box = {0.5, 0.5, width - 1, height - 1};
    sp_paint_fill_rect(b.paint, box, 12, w->theme->sheet);
    sp_paint_stroke_rect(b.paint, box, 12, 1, w->theme->edge);
    return b;
}

void card_title(const brush *b, double width, const char *title) {
    words bold = brush_body(b);
    bold.bold = true;
    bold.size = b->theme->title_px;
    brush_line(b, bold, MARGIN, HEAD / 2 + 4, width - 2 * MARGIN - 60, title);
    const double keys = brush_keys(b, width - MARGIN, HEAD / 2 + 4, "Esc");
    spots_add(b->spots, (sp_rect){width - MARGIN - keys - 16, 0, keys + 32, HEAD}, card_shut, 0);
}

static double key_row(const window *w) { return w->fingers ? FINGERTIP : 26; }

/* A group stays in one column; a column is full at `height`. */
static double group_height(size_t first, double row) {
    double height = KEY_HEAD;
    for (size_t i = first; i < command_count(); i++) {
        if (i > first && command_at(i)->group != NULL) break;
        if (command_at(i)->title != NULL) height += row;
    }
    return height;
}

/* How many columns of `full` height the groups fill, each whole. */
static int columns_filled(double full, double row) {
    int columns = 1;
    double y = 0;
    for (size_t i = 0; i < command_count(); i++) {
        if (command_at(i)->group == NULL) continue;
        const double height = group_height(i, row);
        if (y > 0 && y + height > full) {
            columns++;
            y = 0;
        }
        y += height;
    }
    return columns;
}

static double column_height(int columns, double row) {
    double full = KEY_HEAD;
    for (size_t i = 0; i < command_count(); i++)
        if (command_at(i)->group != NULL) full = fmax(full, group_height(i, row));
    while (columns_filled(full, row) > columns) full += row / 2;
    return full;
}

static void paint_command(const brush *b, const command *c, sp_rect place) {
    const double keys_width = 128, x = place.x + keys_width + 12;
    const double middle = place.y + place.height / 2, room = place.width - keys_width - 12;
    if (c->group != NULL) {
        words bold = brush_body(b);
        bold.bold = true;
        brush_line(b, bold, x, place.y - KEY_HEAD / 2 + 4, room, c->group);
    }
    brush_keys(b, place.x + keys_width, middle, c->keys);
    brush_line(b, brush_body(b), x, middle, room, c->title);
}

static void paint_commands(const brush *b, sp_rect area, int columns, double row) {
    const double wide = area.width / columns;
    double x = area.x, y = 0;
    for (size_t i = 0; i < command_count(); i++) {
        const command *c = command_at(i);
        if (c->title == NULL) continue;
        if (c->group != NULL) {
            if (y > 0 && y + group_height(i, row) > area.height) {
                x += wide;
                y = 0;
            }
            y += KEY_HEAD;
        }
        const sp_rect place = {x, area.y + y, wide - 12, row};
        paint_command(b, c, place);
        spots_add(b->spots, place, card_command, (int)i);
        y += row;
    }
}

/* Where in the whole what is seen lies, as on the sheet. */
static void paint_bar(const brush *b, const card *c, double width) {
    if (c->content <= c->height + 1) return;
    const double tall = fmax(32, c->height * c->height / c->content);
    const double y = HEAD + c->scroll / (c->content - c->height) * (c->height - tall);
    sp_paint_fill_rect(b->paint, (sp_rect){width - 11, y, 4, tall}, 2, b->theme->edge);
}

static bool paint_keys(window *w, sp_error *error) {
    const double room = units(w, w->layout.width) - 16;
    const int columns = room >= 1640 ? 4 : room >= 1180 ? 3 : room >= 800 ? 2 : 1;
    const double row = key_row(w), full = column_height(columns, row);
    const double width = columns * 390 + 2 * MARGIN;
    const brush b = card_begin(w, width, HEAD + full + MARGIN, error);
    if (b.paint == NULL) return false;
    const double seen = units(w, w->card.pane.place.w), height = units(w, w->card.pane.place.h);
    w->card.content = full;
    w->card.height = height - HEAD - MARGIN;
    sp_paint_save(b.paint);
    sp_paint_clip(b.paint, (sp_rect){0, HEAD, seen, height - HEAD - 8});
    const sp_rect area = {MARGIN, HEAD - w->card.scroll, seen - 2 * MARGIN, full};
    paint_commands(&b, area, columns, row);
    sp_paint_restore(b.paint);
    paint_bar(&b, &w->card, seen);
    spots_add(b.spots, (sp_rect){0, 0, seen, HEAD}, card_nothing, 0);
    card_title(&b, seen, "Keys: press one, or its row");
    return pane_end(&w->card.pane, w->renderer, error);
}

void card_picture(const brush *b, const sp_picture *picture, double x, double y, double side) {
    const sp_rect square = {x, y, side, side};
    if (picture->pixels == NULL) {
        sp_paint_stroke_rect(b->paint, square, 4, 1, b->theme->edge);
        return;
    }
    const double zoom = side / fmax(picture->width, picture->height);
    const double wide = picture->width * zoom, high = picture->height * zoom;
    const sp_rect from = {0, 0, picture->width, picture->height};
    const sp_rect to = {x + (side - wide) / 2, y + (side - high) / 2, wide, high};
    sp_paint_picture(b->paint, picture, from, to, true);
}

static void paint_choice(const brush *b, const window *w, int index, double y, double width) {
    const card_list *list = w->card.list;
    const double high = w->card.row, middle = y + high / 2;
    const sp_rect row = {MARGIN - 10, y + 1, width - 2 * MARGIN + 20, high - 2};
    const bool chosen = index == w->card.chosen;
    const char *detail = list->detail == NULL ? "" : list->detail(w, index);
    if (chosen) {
        sp_paint_fill_rect(b->paint, row, 6, b->theme->raised);
        brush_sign(b, SIGN_NEXT, MARGIN + 4, middle);
    }
    double x = MARGIN + 24;
    if (list->picture != NULL) {
        card_picture(b, list->picture(w, index), x, y + 4, high - 8);
        x += high + 4;
    }
    words name = brush_body(b);
    name.bold = chosen;
    const double room = width - MARGIN - x;
    words faint = brush_faint(b);
    faint.wrap = list->picture == NULL; /* what stands there under a picture is a path */
    const double under = detail[0] == '\0' ? 0 : brush_size(b, faint, room, detail).height;
    brush_line(b, name, x, middle - under / 2, room, list->name(w, index));
    if (under > 0) brush_text(b, faint, x, middle - under / 2 + 11, room, detail);
    brush_spot(b, row, card_choose, index);
}

/* As high as the longest detail needs. */
static double list_row(window *w, double width, sp_error *error) {
    const card_list *list = w->card.list;
    if (list->row > 0 || list->detail == NULL) return fmax(list->row, CARD_LIST_ROW);
    brush b = {.theme = w->theme};
    b.paint = pane_begin(&w->card.pane, (SDL_Rect){0, 0, 8, 8}, w->layout.density, true, error);
    words faint = brush_faint(&b);
    faint.wrap = true;
    double most = 0;
    for (int i = 0; b.paint != NULL && i < list->count(w); i++) {
        const char *detail = list->detail(w, i);
        most = fmax(most, brush_size(&b, faint, width - 2 * MARGIN - 24, detail).height);
    }
    return fmax(CARD_LIST_ROW, most + 30);
}

static bool paint_list(window *w, sp_error *error) {
    card *c = &w->card;
    const int count = c->list->count(w);
    const double row = list_row(w, fmin(860, units(w, w->layout.width) - 16), error);
    c->row = row;
    c->content = count * row;
    const brush b =
        card_begin(w, 860, fmin(HEAD + c->content + 16, 0.86 * units(w, w->layout.height)), error);
    if (b.paint == NULL) return false;
    const double width = units(w, c->pane.place.w), height = units(w, c->pane.place.h);
    c->height = height - HEAD - 16;
    c->scroll = fmax(0, fmin(c->scroll, c->content - c->height));
    sp_paint_save(b.paint);
    sp_paint_clip(b.paint, (sp_rect){0, HEAD, width, c->height});
    for (int i = 0; i < count; i++) {
        const double y = HEAD + i * row - c->scroll;
        if (y > HEAD - row && y < HEAD + c->height) paint_choice(&b, w, i, y, width);
    }
    sp_paint_restore(b.paint);
    paint_bar(&b, c, width);
    /* Last: a row scrolled behind the title is not pressed through it. */
    spots_add(b.spots, (sp_rect){0, 0, width, HEAD}, card_nothing, 0);
    card_title(&b, width, c->list->title);
    return pane_end(&c->pane, w->renderer, error);
}

static void paint_field(const brush *b, const window *w, sp_rect field) {
    const card *c = &w->card;
    sp_paint_fill_rect(b->paint, field, 6, b->theme->raised);
    sp_paint_stroke_rect(b->paint, field, 6, 1.5, b->theme->accent);
    const words how = brush_body(b);
    const double middle = field.y + field.height / 2, room = field.width - 28;
    const double wide = brush_size(b, how, 0, c->text).width;
    sp_paint_save(b->paint);
    sp_paint_clip(b->paint, (sp_rect){field.x + 10, field.y, field.width - 20, field.height});
    const double x = field.x + 12 - fmax(0, wide - room); /* the end of a long line is seen */
    if (c->fresh && wide > 0)
        sp_paint_fill_rect(b->paint, (sp_rect){x - 2, middle - 12, wide + 4, 24}, 3,
                           b->theme->edge);
    brush_line(b, how, x, middle, 0, c->text);
    sp_paint_fill_rect(b->paint, (sp_rect){x + wide + 2, middle - 11, 2, 22}, 0, b->theme->accent);
    sp_paint_restore(b->paint);
}

/* Two rows of six. */
#define DIGIT_ROWS (2 * (FINGERTIP + 4.0))

static void paint_digits(const brush *b, double y, double width) {
    static const char digits[] = "123456"
                                 "7890.\b";
    words middle = brush_body(b);
    middle.align = SP_ALIGN_CENTER;
    const double wide = (width - 2 * MARGIN + 4) / 6;
    for (int i = 0; i < 12; i++) {
        const char text[] = {digits[i], '\0'};
        const int row = i / 6, column = i % 6;
        const sp_rect r = {MARGIN + column * wide, y + row * (FINGERTIP + 4), wide - 4, FINGERTIP};
        brush_button(b, r, false, card_digit, digits[i]);
        brush_line(b, middle, r.x, r.y + FINGERTIP / 2, r.width,
                   digits[i] == '\b' ? "\u2190" : text);
    }
}

static bool paint_line(window *w, sp_error *error) {
    card *c = &w->card;
    const double width = fmin(560, units(w, w->layout.width) - 16);
    brush b = {.theme = w->theme};
    b.paint = pane_begin(&c->pane, (SDL_Rect){0, 0, 8, 8}, w->layout.density, true, error);
    if (b.paint == NULL) return false;
    const char *under = c->wrong[0] != '\0' ? c->wrong : c->line->hint;
    words hint = brush_faint(&b);
    hint.wrap = true;
    const double text = brush_size(&b, hint, width - 2 * MARGIN - 24, under).height;
    const double digits = w->fingers && c->number ? DIGIT_ROWS + 12 : 0;
    b = card_begin(w, width, HEAD + 44 + 12 + text + 16 + digits + BUTTON + MARGIN, error);
    if (b.paint == NULL) return false;
    card_title(&b, width, c->line->title);
    paint_field(&b, w, (sp_rect){MARGIN, HEAD, width - 2 * MARGIN, 44});
    double y = HEAD + 44 + 12;
    const bool wrong = c->wrong[0] != '\0';
    if (wrong) brush_sign(&b, SIGN_WARN, MARGIN + 8, y + 9);
    if (wrong) hint.color = w->theme->text;
    brush_text(&b, hint, MARGIN + (wrong ? 24 : 0), y, width - 2 * MARGIN - 24, under);
    y += text + 16;
    if (digits > 0) paint_digits(&b, y, width);
    y += digits;
    const sp_rect button = {width - MARGIN - 120, y, 120, BUTTON};
    brush_button(&b, button, true, card_accept, 0);
    words middle = brush_body(&b);
    middle.bold = true;
    middle.align = SP_ALIGN_CENTER;
    middle.color = w->theme->on_accent;
    brush_line(&b, middle, button.x, y + BUTTON / 2, button.width, "Enter");
    return pane_end(&c->pane, w->renderer, error);
}

bool card_paint(window *w, sp_error *error) {
    switch (w->card.kind) {
    case CARD_KEYS: return paint_keys(w, error);
    case CARD_LIST: return paint_list(w, error);
    case CARD_LINE: return paint_line(w, error);
    case CARD_COURT: return court_card_paint(w, error);
    case CARD_NONE: break;
    }
    pane_free(&w->card.pane);
    return true;
}
