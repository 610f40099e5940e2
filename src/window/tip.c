#include "window/tip.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "window/actions.h"
#include "window/commands.h"
#include "window/state.h"

/* Words for the buttons whose key shares its row of the table with another. */
static const struct {
    action *act;
    int argument;
    const char *words, *keys;
} shared[] = {
    {act_moment_step, -1, "the moment before", "PgUp"},
    {act_moment_step, 1, "the next moment", "PgDn"},
    {act_step, -1, "one frame back", "\u2190"},
    {act_step, 1, "one frame on", "\u2192"},
};

static void words_of(action *act, int argument, char *text, size_t size) {
    text[0] = '\0';
    for (size_t i = 0; i < sizeof shared / sizeof shared[0]; i++)
        if (shared[i].act == act && shared[i].argument == argument)
            snprintf(text, size, "%s: %s", shared[i].words, shared[i].keys);
    for (size_t i = 0; i < command_count() && text[0] == '\0'; i++) {
        const command *c = command_at(i);
        /* The speeds are one button whose argument changes. */
        const bool same = c->act == act && (c->argument == argument || act == act_speed);
        if (same && c->title != NULL) snprintf(text, size, "%s: %s", c->title, c->keys);
    }
}

static const spot *under_pointer(const window *w) {
    const SDL_Rect bar = w->bar_pane.place;
    const sp_point at = w->pointer.at;
    const double d = w->layout.density;
    if (w->pointer.finger || card_is_up(w) || w->pointer.drag != DRAG_NONE || at.y < bar.y ||
        at.y >= bar.y + bar.h)
        return NULL;
    return spots_hit(&w->bar_spots, (at.x - bar.x) / d, (at.y - bar.y) / d);
}

void tip_follow(window *w) {
    tip *t = &w->tip;
    const spot *on = under_pointer(w);
    action *act = on == NULL ? NULL : on->act;
    const int argument = on == NULL ? 0 : on->argument;
    if (act == t->act && argument == t->argument) return;
    t->act = act;
    t->argument = argument;
    const double d = w->layout.density;
    if (on != NULL)
        t->over = (SDL_Rect){w->bar_pane.place.x + (int)(on->rect.x * d), w->bar_pane.place.y,
                             (int)(on->rect.width * d), w->bar_pane.place.h};
    window_touch(w, PART_TIP);
}

bool tip_paint(window *w, sp_error *error) {
    tip *t = &w->tip;
    char text[160] = "";
    if (t->act != NULL) words_of(t->act, t->argument, text, sizeof text);
    if (text[0] == '\0') {
        pane_free(&t->pane);
        return true;
    }
    const double d = w->layout.density;
    const sp_text_style style = {.size = w->theme->small_px, .color = w->theme->text};
    sp_paint *paint = pane_begin(&t->pane, (SDL_Rect){0, 0, 8, 8}, d, true, error);
    if (paint == NULL) return false;
    const sp_size size = sp_paint_text_size(paint, &style, text);
    const int width = (int)ceil((size.width + 20) * d), height = (int)ceil((size.height + 12) * d);
    const int left = SDL_clamp(t->over.x + (t->over.w - width) / 2, 4,
                               SDL_max(4, w->layout.canvas.x + w->layout.canvas.w - width - 4));
    const SDL_Rect place = {left, t->over.y - height - (int)(4 * d), width, height};
    paint = pane_begin(&t->pane, place, d, true, error);
    if (paint == NULL) return false;
    const sp_rect box = {0.5, 0.5, width / d - 1, height / d - 1};
    sp_paint_fill_rect(paint, box, 5, w->theme->sheet);
    sp_paint_stroke_rect(paint, box, 5, 1, w->theme->edge);
    sp_paint_text(paint, &style, (sp_point){10, 6}, text);
    return pane_end(&t->pane, w->renderer, error);
}
