#include "window/card.h"

#include <string.h>

#include "base/text.h"
#include "window/actions.h"
#include "window/commands.h"
#include "window/court.h"
#include "window/state.h"

static void show(window *w, card_kind kind) {
    card *c = &w->card;
    play_stop(w);
    pointer_cancel(w);
    c->kind = kind;
    c->list = NULL;
    c->line = NULL;
    c->number = false;
    c->scroll = 0;
    c->wrong[0] = '\0';
    window_touch(w, PART_CARD | PART_LOUPE);
}

void card_show_keys(window *w) { show(w, CARD_KEYS); }

void card_show_list(window *w, const card_list *list, int chosen) {
    show(w, CARD_LIST);
    w->card.list = list;
    w->card.chosen = chosen;
    w->card.row = list->row;
}

void card_show_court(window *w) {
    const int chosen = SDL_clamp(w->tool.landmark, 0, (int)sp_landmark_count() - 1);
    show(w, CARD_COURT);
    w->card.chosen = chosen;
}

void card_show_line(window *w, const card_line *line) {
    show(w, CARD_LINE);
    w->card.line = line;
    w->card.text[0] = '\0';
    if (line->begin != NULL) line->begin(w, w->card.text, sizeof w->card.text);
    w->card.fresh = w->card.text[0] != '\0';
    SDL_StartTextInput();
}

void card_show_number(window *w, const card_line *line) {
    card_show_line(w, line);
    w->card.number = true;
}

void card_close(window *w) {
    if (w->card.kind == CARD_LINE) SDL_StopTextInput();
    w->card.kind = CARD_NONE;
    window_touch(w, PART_CARD | PART_LOUPE);
}

bool card_is_up(const window *w) { return w->card.kind != CARD_NONE; }

void card_scroll(window *w, double by) {
    card *c = &w->card;
    const double most = SDL_max(0, c->content - c->height);
    c->scroll = SDL_clamp(c->scroll + by, 0, most);
    window_touch(w, PART_CARD);
}

void card_choose(window *w, int index) {
    const card_list *list = w->card.list;
    card_close(w);
    if (list != NULL) list->choose(w, index);
}

void card_command(window *w, int index) {
    const command *c = command_at((size_t)index);
    card_close(w);
    frames_do(w, c->act, c->argument);
}

void card_shut(window *w, int unused) {
    (void)unused;
    card_close(w);
}

void card_nothing(window *w, int unused) {
    (void)w;
    (void)unused;
}

void card_accept(window *w, int unused) {
    (void)unused;
    card *c = &w->card;
    const card_line *line = c->line;
    char text[sizeof c->text];
    memcpy(text, c->text, sizeof text);
    sp_error error = {0};
    if (line->accept(w, text, &error)) {
        if (c->line == line) card_close(w);
        return;
    }
    sp_text_copy(c->wrong, sizeof c->wrong, error.message);
    window_touch(w, PART_CARD);
}

static void reveal_chosen(window *w) {
    card *c = &w->card;
    const double row = c->row, top = c->chosen * row;
    if (top < c->scroll) c->scroll = top;
    if (top + row > c->scroll + c->height) c->scroll = top + row - c->height;
}

static void list_key(window *w, SDL_Keycode key) {
    card *c = &w->card;
    const int last = c->list->count(w) - 1;
    switch (key) {
    case SDLK_UP: c->chosen = SDL_max(c->chosen - 1, 0); break;
    case SDLK_DOWN: c->chosen = SDL_min(c->chosen + 1, last); break;
    case SDLK_PAGEUP: c->chosen = SDL_max(c->chosen - 5, 0); break;
    case SDLK_PAGEDOWN: c->chosen = SDL_min(c->chosen + 5, last); break;
    case SDLK_HOME: c->chosen = 0; break;
    case SDLK_END: c->chosen = last; break;
    case SDLK_RETURN:
    case SDLK_KP_ENTER:
    case SDLK_SPACE: card_choose(w, c->chosen); return;
    default: return;
    }
    reveal_chosen(w);
    window_touch(w, PART_CARD);
}

static void take_last_letter(char *text) {
    size_t length = strlen(text);
    while (length > 0 && ((unsigned char)text[length - 1] & 0xC0) == 0x80) length--;
    if (length > 0) length--;
    text[length] = '\0';
}

static void take_back(window *w) {
    card *c = &w->card;
    if (c->fresh)
        c->text[0] = '\0';
    else
        take_last_letter(c->text);
    c->fresh = false;
    window_touch(w, PART_CARD);
}

void card_digit(window *w, int character) {
    const char text[] = {(char)character, '\0'};
    if (character == '\b')
        take_back(w);
    else
        card_typed(w, text);
}

static void line_key(window *w, const SDL_Keysym *sym) {
    const bool paste = sym->sym == SDLK_v && (sym->mod & KMOD_CTRL) != 0;
    if (sym->sym == SDLK_RETURN || sym->sym == SDLK_KP_ENTER) {
        card_accept(w, 0);
    } else if (sym->sym == SDLK_BACKSPACE) {
        take_back(w);
    } else if (paste) {
        char *text = SDL_GetClipboardText();
        if (text != NULL) card_typed(w, text);
        SDL_free(text);
    }
}

void card_typed(window *w, const char *text) {
    card *c = &w->card;
    if (c->kind != CARD_LINE) return;
    if (c->fresh) c->text[0] = '\0'; /* typing replaces what was offered */
    c->fresh = false;
    const size_t used = strlen(c->text);
    for (const char *t = text; *t != '\0'; t++)
        if ((unsigned char)*t < ' ') return; /* a line has no line breaks */
    sp_text_copy(c->text + used, sizeof c->text - used, text);
    c->wrong[0] = '\0';
    window_touch(w, PART_CARD);
}

static void keys_key(window *w, SDL_Keycode key) {
    switch (key) {
    case SDLK_UP: card_scroll(w, -48); break;
    case SDLK_DOWN: card_scroll(w, 48); break;
    case SDLK_PAGEUP: card_scroll(w, -w->card.height); break;
    case SDLK_PAGEDOWN: card_scroll(w, w->card.height); break;
    case SDLK_LSHIFT:
    case SDLK_RSHIFT: break;
    default: card_close(w);
    }
}

bool card_key(window *w, const SDL_KeyboardEvent *event) {
    if (!card_is_up(w)) return false;
    const SDL_Keysym *sym = &event->keysym;
    if (sym->sym == SDLK_q && (sym->mod & KMOD_CTRL) != 0) return false;
    if (event->type != SDL_KEYDOWN) return true;
    if (sym->sym == SDLK_ESCAPE)
        card_close(w);
    else if (w->card.kind == CARD_LIST)
        list_key(w, sym->sym);
    else if (w->card.kind == CARD_COURT)
        court_card_key(w, sym->sym);
    else if (w->card.kind == CARD_LINE)
        line_key(w, sym);
    else
        keys_key(w, sym->sym);
    return true;
}
