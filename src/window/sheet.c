#include "window/sheet.h"

#include <math.h>

#include "window/actions.h"
#include "window/commands.h"
#include "window/moments.h"
#include "window/page.h"
#include "window/state.h"

bool sheet_is_open(const window *w, section which) {
    if (w->sheet.open[which] != 0) return w->sheet.open[which] > 0;
    return which == SECTION_READOUT || which == guide_section(w);
}

void act_section(window *w, int which) {
    w->sheet.open[which] = sheet_is_open(w, (section)which) ? -1 : 1;
    window_touch(w, PART_SHEET | PART_OVERLAY);
}

void page_fold(page *p, double x, double y, bool open) {
    const sp_point down[] = {{x - 5, y - 2.5}, {x, y + 2.5}, {x + 5, y - 2.5}};
    const sp_point right[] = {{x - 2.5, y - 5}, {x + 2.5, y}, {x - 2.5, y + 5}};
    sp_paint_polyline(p->b.paint, open ? down : right, 3, 1.8, p->b.theme->faint);
}

bool page_section(page *p, section which, const char *title, const char *summary, sign state) {
    const bool open = sheet_is_open(p->w, which);
    const double height = fmax(40, p->row + 2), right = p->x + p->width;
    const double middle = p->y + height / 2;
    sp_paint_line(p->b.paint, (sp_point){p->x, p->y + 0.5}, (sp_point){right, p->y + 0.5}, 1,
                  p->b.theme->edge);
    brush_sign(&p->b, state, p->x + 8, middle);
    words bold = brush_body(&p->b);
    bold.bold = true;
    const double wide = brush_size(&p->b, bold, 0, title).width;
    brush_line(&p->b, bold, p->x + 26, middle, 0, title);
    words faint = brush_faint(&p->b);
    faint.align = SP_ALIGN_RIGHT;
    const double left = p->x + 26 + wide + 12;
    if (right - 22 - left > 20) brush_line(&p->b, faint, left, middle, right - 22 - left, summary);
    page_fold(p, right - 7, middle, open);
    brush_spot(&p->b, (sp_rect){p->x - 6, p->y + 1, p->width + 12, height - 2}, act_section,
               (int)which);
    p->y += height;
    return open;
}

void page_setting(page *p, const char *label, const char *value, action *act, int argument) {
    const double middle = p->y + p->row / 2, right = p->x + p->width;
    brush_line(&p->b, brush_faint(&p->b), p->x + 26, middle, 76, label);
    const double keys = brush_keys(&p->b, right, middle, command_keys(act, argument));
    const double left = p->x + 104, room = right - keys - 8 - left;
    words body = brush_body(&p->b);
    body.wrap = true;
    const double line = brush_size(&p->b, body, 0, "x").height;
    const double used = brush_text(&p->b, body, left, middle - line / 2, room, value);
    const double height = p->row + fmax(0, used - line);
    brush_spot(&p->b, (sp_rect){p->x - 6, p->y, p->width + 12, height}, act, argument);
    p->y += height;
}

void page_offer(page *p, const char *title, action *act, int argument) {
    const double middle = p->y + p->row / 2, right = p->x + p->width;
    const double keys = brush_keys(&p->b, right, middle, command_keys(act, argument));
    brush_line(&p->b, brush_faint(&p->b), p->x + 26, middle, right - keys - 8 - p->x - 26, title);
    brush_spot(&p->b, (sp_rect){p->x - 6, p->y, p->width + 12, p->row}, act, argument);
    p->y += p->row;
}

void page_text(page *p, const char *text) {
    words faint = brush_faint(&p->b);
    faint.wrap = true;
    p->y += 4;
    p->y += brush_text(&p->b, faint, p->x + 26, p->y, p->width - 26, text) + 8;
}

static page begin_column(window *w, sp_paint *paint, int column) {
    sheet *s = &w->sheet;
    return (page){.b = {.paint = paint,
                        .theme = w->theme,
                        .spots = &s->spots,
                        .focus_act = s->focus_act,
                        .focus_argument = s->focus_argument},
                  .w = w,
                  .next = step_next(&w->session, w->frames.number),
                  .x = s->left[column] + PAGE_MARGIN,
                  .width = s->wide[column] - 2 * PAGE_MARGIN,
                  .y = s->top[column] - s->scroll[column],
                  .row = w->fingers ? FINGERTIP : 34,
                  .line = w->fingers ? FINGERTIP : 28};
}

static double seen_height(const window *w, int column) {
    return w->layout.sheet.h / w->layout.density - w->sheet.top[column];
}

static void keep_scroll(window *w, int column) {
    sheet *s = &w->sheet;
    const double most = fmax(0, s->content[column] - seen_height(w, column));
    s->scroll[column] = fmax(0, fmin(s->scroll[column], most));
}

static void paint_bar(window *w, sp_paint *paint, int column) {
    const sheet *s = &w->sheet;
    const double seen = seen_height(w, column), all = s->content[column];
    if (all <= seen + 1) return;
    const double height = fmax(32, seen * seen / all);
    const double y = s->top[column] + s->scroll[column] / (all - seen) * (seen - height);
    const double x = s->left[column] + s->wide[column] - 7;
    sp_paint_fill_rect(paint, (sp_rect){x, y + 2, 4, height - 4}, 2, w->theme->edge);
}

static void paint_column(window *w, sp_paint *paint, int column) {
    sheet *s = &w->sheet;
    page p = begin_column(w, paint, column);
    const double start = p.y;
    sp_paint_save(paint);
    sp_paint_clip(
        paint, (sp_rect){s->left[column], s->top[column], s->wide[column], seen_height(w, column)});
    if (!window_is_open(w)) {
        if (column == 0) recents_paint(&p);
    } else if (again_is_on(w)) {
        if (column == 0) again_paint(&p);
    } else {
        /* What is in hand stands first: the level of the voice is to be seen while it is recorded.
         */
        const bool talks = talking_is_on(w), draws = w->tool.kind == TOOL_INK;
        if (column == 0 && !sheet_is_open(w, SECTION_DELIVER)) sending_paint_now(&p);
        if (column == 0 && talks) talking_paint(&p);
        if (column == 0 && draws) pen_paint(&p);
        if (column == 0) guide_paint(&p);
        if (column == s->columns - 1) measures_paint(&p);
        /* Where there are two columns, beside the measures. */
        if (column == 0) {
            findings_paint(&p);
            if (!draws) pen_paint(&p);
            if (!talks) talking_paint(&p);
            deliver_paint(&p);
        }
    }
    sp_paint_restore(paint);
    s->content[column] = p.y - start + PAGE_MARGIN;
    paint_bar(w, paint, column);
}

/* Brings the row in focus into view; true when something moved. */
static bool reveal_focus(window *w) {
    sheet *s = &w->sheet;
    const int at = spots_find(&s->spots, s->focus_act, s->focus_argument);
    if (s->focus_act == NULL || !s->revealing || at < 0) return false;
    const sp_rect r = s->spots.at[at].rect;
    const int column = s->columns > 1 && r.x >= s->left[1] ? 1 : 0;
    const double before = s->scroll[column], low = s->top[column] + 8;
    const double high = s->top[column] + seen_height(w, column) - 8;
    if (r.y < low) s->scroll[column] += r.y - low;
    if (r.y + r.height > high) s->scroll[column] += r.y + r.height - high;
    keep_scroll(w, column);
    return s->scroll[column] != before;
}

static void lay_columns(window *w) {
    sheet *s = &w->sheet;
    const double width = w->layout.sheet.w / w->layout.density;
    s->columns = width > 760 ? 2 : 1;
    for (int i = 0; i < 2; i++) {
        s->left[i] = i == 0 ? 0 : width / 2;
        s->wide[i] = s->columns == 1 ? width : width / 2;
    }
}

static void paint_once(window *w, sp_paint *paint) {
    sheet *s = &w->sheet;
    const double width = w->layout.sheet.w / w->layout.density;
    const double height = w->layout.sheet.h / w->layout.density;
    s->spots.count = 0;
    sp_paint_clear(paint, w->theme->sheet);
    spot keys;
    page head = begin_column(w, paint, 0);
    head.y = 0;
    s->top[0] = guide_paint_next(&head, &keys);
    s->top[1] = 0;
    for (int i = 0; i < s->columns; i++) paint_column(w, paint, i);
    /* Last, so that rows that are scrolled behind the card are not pressed through it. */
    s->walked = s->spots.count;
    spots_add(&s->spots, (sp_rect){0, 0, s->wide[0], s->top[0]}, act_next_step, 0);
    if (keys.act != NULL) spots_add(&s->spots, keys.rect, keys.act, keys.argument);
    const sp_point corner = {0.5, 0}, end = {0.5, height};
    if (!w->layout.upright) sp_paint_line(paint, corner, end, 1, w->theme->edge);
    if (s->columns == 2)
        sp_paint_line(paint, (sp_point){width / 2, 0}, (sp_point){width / 2, height}, 1,
                      w->theme->edge);
}

/* The measures of the moment that was last seen stay unfolded. */
static void follow_moment(window *w) {
    sheet *s = &w->sheet;
    if (!window_is_open(w)) return;
    for (int i = 0; i < MOMENT_COUNT; i++) {
        const char *name = moment_kind_at(i)->name;
        if (sp_review_moment_frame(w->session.review, name) != w->frames.number) continue;
        if (s->group != i + 1) s->group_open[i] = 0;
        s->group = i + 1;
    }
}

bool sheet_paint(window *w, sp_error *error) {
    sheet *s = &w->sheet;
    sp_paint *paint = pane_begin(&s->pane, w->layout.sheet, w->layout.density, false, error);
    if (paint == NULL) return false;
    lay_columns(w);
    follow_moment(w);
    const section now = guide_section(w);
    if (now != s->worked) s->scroll[0] = 0;
    s->worked = now;
    paint_once(w, paint);
    const double before[2] = {s->scroll[0], s->scroll[1]};
    keep_scroll(w, 0);
    keep_scroll(w, 1);
    const bool shifted = before[0] != s->scroll[0] || before[1] != s->scroll[1];
    if (reveal_focus(w) || shifted) paint_once(w, paint);
    s->revealing = false;
    return pane_end(&s->pane, w->renderer, error);
}

void sheet_scroll(window *w, double x, double y, double by) {
    (void)y;
    sheet *s = &w->sheet;
    const double at = (x - w->layout.sheet.x) / w->layout.density;
    const int column = s->columns == 2 && at >= s->left[1] ? 1 : 0;
    s->scroll[column] += by;
    keep_scroll(w, column);
    window_touch(w, PART_SHEET);
}

void sheet_walk(window *w, int by) {
    sheet *s = &w->sheet;
    const int count = s->walked;
    if (count < 1) return;
    int at = s->focus_act == NULL ? -1 : spots_find(&s->spots, s->focus_act, s->focus_argument);
    if (at < 0)
        at = by > 0 ? 0 : count - 1;
    else
        at = SDL_clamp(at + by, 0, count - 1);
    s->focus_act = s->spots.at[at].act;
    s->focus_argument = s->spots.at[at].argument;
    s->revealing = true;
    window_touch(w, PART_SHEET);
}

void act_walk_sheet(window *w, int by) { sheet_walk(w, by); }

bool sheet_enter(window *w) {
    sheet *s = &w->sheet;
    if (s->focus_act == NULL || spots_find(&s->spots, s->focus_act, s->focus_argument) < 0)
        return false;
    frames_do(w, s->focus_act, s->focus_argument);
    return true;
}
