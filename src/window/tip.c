#include "window/tip.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "window/actions.h"
#include "window/commands.h"
#include "window/state.h"

/* A row says much by itself: the tip waits until the pointer rests on it. */
#define REST_MS 600

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
    {act_next_step, 0, "the next step", "Enter"},
};

/* Rows without a key of their own are walked to. */
#define WALKED "\u2191 \u2193, Enter"
static const struct {
    action *act;
    const char *words;
} rows[] = {
    {act_section, "folds or unfolds"},
    {act_group, "unfolds, and goes to its frame"},
    {act_explain, "goes to its frame and lights its points"},
    {act_cautions, "folds or unfolds the cautions"},
    {act_caution_read, "folds or unfolds the cautions"},
    {act_all_rows, "reasons one by one, or together"},
    {act_pick, "chooses this point, or taps it"},
    {act_use_scale, "uses this scale"},
    {act_landmark, "taps this landmark anew"},
    {act_finding, "unfolds, and goes to its frame"},
    {act_judge, "judges by eye"},
    {act_order, "changes the order of work"},
    {act_say, "replaces the advice by your words"},
    {act_seen, "lets it be sent, or not"},
    {act_copy_request, "copies words for a message"},
    {act_past, "reads out the reviews of this folder"},
    {act_open_recent, "opens this clip"},
    {act_past, "reads the reviews of this folder"},
    {act_send, "makes it, beside the clip"},
    {act_send_give_up, "stops it; nothing is left of it"},
    {act_take_points, "takes points in from a file"},
    {act_talk_again, "records that part again"},
    {act_talk_microphone, "chooses the next microphone"},
    {act_talk_undo, "takes the last cut or take back"},
};

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* A second key or direction has the title of the row above. */
static bool command_words(action *act, int argument, char *text, size_t size) {
    const command *titled = NULL;
    for (size_t i = 0; i < command_count(); i++) {
        const command *c = command_at(i);
        if (c->title != NULL) titled = c;
        /* The speeds are one button whose argument changes. */
        const bool same = c->act == act && (c->argument == argument || act == act_speed);
        if (!same || titled == NULL || titled->act != act) continue;
        snprintf(text, size, "%s: %s", titled->title, c->keys[0] != '\0' ? c->keys : titled->keys);
        return true;
    }
    return false;
}

void tip_words(action *act, int argument, char *text, size_t size) {
    text[0] = '\0';
    for (size_t i = 0; i < COUNT(shared); i++)
        if (shared[i].act == act && shared[i].argument == argument)
            snprintf(text, size, "%s: %s", shared[i].words, shared[i].keys);
    if (text[0] != '\0' || command_words(act, argument, text, size)) return;
    for (size_t i = 0; i < COUNT(rows); i++)
        if (rows[i].act == act) snprintf(text, size, "%s: %s", rows[i].words, WALKED);
}

static const spot *on_pane(const window *w, const pane *p, const spots *s) {
    const double d = w->layout.density;
    const double x = w->pointer.at.x - p->place.x, y = w->pointer.at.y - p->place.y;
    if (x < 0 || y < 0 || x >= p->place.w || y >= p->place.h) return NULL;
    return spots_hit(s, x / d, y / d);
}

static const spot *under_pointer(const window *w, const pane **p) {
    if (w->pointer.finger || card_is_up(w) || w->pointer.drag != DRAG_NONE) return NULL;
    *p = &w->bar_pane;
    const spot *on = on_pane(w, *p, &w->bar_spots);
    if (on != NULL) return on;
    *p = &w->sheet.pane;
    return on_pane(w, *p, &w->sheet.spots);
}

void tip_follow(window *w) {
    tip *t = &w->tip;
    const pane *p;
    const spot *on = under_pointer(w, &p);
    if (on == NULL) {
        tip_hide(w);
        return;
    }
    const double d = w->layout.density;
    const SDL_Rect over = {p->place.x + (int)(on->rect.x * d), p->place.y + (int)(on->rect.y * d),
                           (int)(on->rect.width * d), (int)(on->rect.height * d)};
    if (on->act == t->act && on->argument == t->argument && SDL_RectEquals(&over, &t->over)) return;
    t->act = on->act;
    t->argument = on->argument;
    t->over = over;
    t->below = p == &w->sheet.pane;
    t->from = SDL_GetTicks64() + (t->below ? REST_MS : 0);
    window_touch(w, PART_TIP);
}

void tip_hide(window *w) {
    if (w->tip.act == NULL) return;
    w->tip.act = NULL;
    window_touch(w, PART_TIP);
}

int tip_update(window *w) {
    const tip *t = &w->tip;
    const uint64_t now = SDL_GetTicks64();
    if (t->act == NULL || t->pane.texture != NULL) return -1;
    if (now < t->from) return (int)(t->from - now);
    char text[160];
    tip_words(t->act, t->argument, text, sizeof text);
    if (text[0] != '\0') window_touch(w, PART_TIP);
    return -1;
}

/* Over a button, under a row; where there is no room, on the other side. */
static SDL_Rect place(const window *w, int width, int height) {
    const SDL_Rect over = w->tip.over;
    const int gap = (int)(4 * w->layout.density);
    const int left =
        SDL_clamp(over.x + (over.w - width) / 2, 4, SDL_max(4, w->layout.width - width - 4));
    const int above = over.y - height - gap, below = over.y + over.h + gap;
    const bool under = w->tip.below ? below + height < w->layout.height : above < 0;
    return (SDL_Rect){left, under ? below : above, width, height};
}

bool tip_paint(window *w, sp_error *error) {
    tip *t = &w->tip;
    char text[160] = "";
    if (t->act != NULL && SDL_GetTicks64() >= t->from)
        tip_words(t->act, t->argument, text, sizeof text);
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
    paint = pane_begin(&t->pane, place(w, width, height), d, true, error);
    if (paint == NULL) return false;
    const sp_rect box = {0.5, 0.5, width / d - 1, height / d - 1};
    sp_paint_fill_rect(paint, box, 5, w->theme->raised);
    sp_paint_stroke_rect(paint, box, 5, 1, w->theme->edge);
    sp_paint_text(paint, &style, (sp_point){10, 6}, text);
    return pane_end(&t->pane, w->renderer, error);
}
