#include "window/commands.h"

#include <string.h>

#include "window/actions.h"
#include "window/state.h"

#define CTRL KMOD_CTRL
#define SHIFT KMOD_SHIFT
#define ALT KMOD_ALT
#define LEFT_KEY "\u2190"
#define RIGHT_KEY "\u2192"
#define ARROWS "\u2190 \u2192 \u2191 \u2193"

static const command table[] = {
    {"Frames", LEFT_KEY "  " RIGHT_KEY, "one frame back, on", SDLK_LEFT, 0, act_step, -1},
    {NULL, RIGHT_KEY, NULL, SDLK_RIGHT, 0, act_step, 1},
    {NULL, "Shift " LEFT_KEY "  " RIGHT_KEY, "ten frames", SDLK_LEFT, SHIFT, act_step, -10},
    {NULL, "Shift " RIGHT_KEY, NULL, SDLK_RIGHT, SHIFT, act_step, 10},
    {NULL, "Home  End", "first, last frame", SDLK_HOME, 0, act_ends, -1},
    {NULL, "End", NULL, SDLK_END, 0, act_ends, 1},
    {NULL, "PgUp  PgDn", "moment before, next moment", SDLK_PAGEUP, 0, act_moment_step, -1},
    {NULL, "PgDn", NULL, SDLK_PAGEDOWN, 0, act_moment_step, 1},
    {NULL, "G", "go to a frame by number", SDLK_g, 0, act_ask_frame, 0},

    {"Playing", "Space", "play, stop", SDLK_SPACE, 0, act_play, 0},
    {NULL, "Shift \u2193  \u2191", "slower, faster", SDLK_DOWN, SHIFT, act_speed, -1},
    {NULL, "Shift \u2191", NULL, SDLK_UP, SHIFT, act_speed, 1},
    {NULL, "", NULL, SDLK_COMMA, 0, act_speed, -1},
    {NULL, "", NULL, SDLK_PERIOD, 0, act_speed, 1},
    {NULL, "Shift Home  End", "a span starts, ends here", SDLK_HOME, SHIFT, act_span, -1},
    {NULL, "Shift End", NULL, SDLK_END, SHIFT, act_span, 1},
    {NULL, "Z  Shift Z", "strip: closer, wider", SDLK_z, 0, act_strip_zoom, 1},
    {NULL, "Shift Z", NULL, SDLK_z, SHIFT, act_strip_zoom, -1},
    {NULL, "J", "to the sharpest sound", SDLK_j, 0, act_sharpest_sound, 0},
    {NULL, "L", "go round in the span, or not", SDLK_l, 0, act_loop, 0},

    {"Moments", "1", "this frame is the release", SDLK_1, 0, act_name_moment, 0},
    {NULL, "2", "this frame is the trophy", SDLK_2, 0, act_name_moment, 1},
    {NULL, "3", "this frame is the drop", SDLK_3, 0, act_name_moment, 2},
    {NULL, "4", "this frame is the contact", SDLK_4, 0, act_name_moment, 3},
    {NULL, "5", "this frame is the bounce", SDLK_5, 0, act_name_moment, 4},
    {NULL, "6", "this frame is the finish", SDLK_6, 0, act_name_moment, 5},
    {NULL, "Ctrl 1 \u2026 6", "go to that moment", SDLK_1, CTRL, act_go_moment, 0},
    {NULL, "Ctrl 2", NULL, SDLK_2, CTRL, act_go_moment, 1},
    {NULL, "Ctrl 3", NULL, SDLK_3, CTRL, act_go_moment, 2},
    {NULL, "Ctrl 4", NULL, SDLK_4, CTRL, act_go_moment, 3},
    {NULL, "Ctrl 5", NULL, SDLK_5, CTRL, act_go_moment, 4},
    {NULL, "Ctrl 6", NULL, SDLK_6, CTRL, act_go_moment, 5},
    {NULL, "Shift 1 \u2026 6", "take that name off", SDLK_1, SHIFT, act_free_moment, 0},
    {NULL, "Shift 2", NULL, SDLK_2, SHIFT, act_free_moment, 1},
    {NULL, "Shift 3", NULL, SDLK_3, SHIFT, act_free_moment, 2},
    {NULL, "Shift 4", NULL, SDLK_4, SHIFT, act_free_moment, 3},
    {NULL, "Shift 5", NULL, SDLK_5, SHIFT, act_free_moment, 4},
    {NULL, "Shift 6", NULL, SDLK_6, SHIFT, act_free_moment, 5},

    {"Points", "Tab", "choose the next point", SDLK_TAB, 0, act_next_point, 1},
    {NULL, "Shift Tab", "choose the one before", SDLK_TAB, SHIFT, act_next_point, -1},
    {NULL, "Alt " ARROWS, "move it by one pixel", SDLK_LEFT, ALT, act_nudge, ACT_LEFT},
    {NULL, "", NULL, SDLK_RIGHT, ALT, act_nudge, ACT_RIGHT},
    {NULL, "", NULL, SDLK_UP, ALT, act_nudge, ACT_UP},
    {NULL, "", NULL, SDLK_DOWN, ALT, act_nudge, ACT_DOWN},
    {NULL, "Alt Shift " ARROWS, "by a tenth of a pixel", SDLK_LEFT, ALT | SHIFT, act_nudge,
     ACT_LEFT | ACT_FINE},
    {NULL, "", NULL, SDLK_RIGHT, ALT | SHIFT, act_nudge, ACT_RIGHT | ACT_FINE},
    {NULL, "", NULL, SDLK_UP, ALT | SHIFT, act_nudge, ACT_UP | ACT_FINE},
    {NULL, "", NULL, SDLK_DOWN, ALT | SHIFT, act_nudge, ACT_DOWN | ACT_FINE},
    {NULL, "Delete", "take it off", SDLK_DELETE, 0, act_delete, 0},
    {NULL, "", NULL, SDLK_BACKSPACE, 0, act_delete, 0},
    {NULL, "X", "not seen: leave the point out", SDLK_x, 0, act_skip, 0},
    {NULL, "Q", "hidden: guessed, or seen", SDLK_q, 0, act_guess, 0},
    {NULL, "K", "copy points of another frame", SDLK_k, 0, act_copy_points, 0},
    {NULL, "A", "tap another point here", SDLK_a, 0, act_other_point, 0},
    {NULL, "Ctrl A", "the same frames again, blind", SDLK_a, CTRL, act_again, 0},
    {NULL, "E", "tap one point on every frame", SDLK_e, 0, act_along, 0},
    {NULL, "Shift E", "carry it between its taps", SDLK_e, SHIFT, act_carry, 0},
    {NULL, "Ctrl Shift E", "between all its taps", SDLK_e, CTRL | SHIFT, act_carry, 1},
    {NULL, "Ctrl E", "to where it is least sure", SDLK_e, CTRL, act_carry_doubt, 0},
    {NULL, "Alt E", "take carried places off", SDLK_e, ALT, act_carry_off, 0},
    {NULL, "Ctrl " ARROWS, "move the cross", SDLK_LEFT, CTRL, act_cross, ACT_LEFT},
    {NULL, "", NULL, SDLK_RIGHT, CTRL, act_cross, ACT_RIGHT},
    {NULL, "", NULL, SDLK_UP, CTRL, act_cross, ACT_UP},
    {NULL, "", NULL, SDLK_DOWN, CTRL, act_cross, ACT_DOWN},
    {NULL, "", NULL, SDLK_LEFT, CTRL | SHIFT, act_cross, ACT_LEFT | ACT_FINE},
    {NULL, "", NULL, SDLK_RIGHT, CTRL | SHIFT, act_cross, ACT_RIGHT | ACT_FINE},
    {NULL, "", NULL, SDLK_UP, CTRL | SHIFT, act_cross, ACT_UP | ACT_FINE},
    {NULL, "", NULL, SDLK_DOWN, CTRL | SHIFT, act_cross, ACT_DOWN | ACT_FINE},
    {NULL, "Enter", "tap at the cross; the next step", SDLK_RETURN, 0, act_enter, 0},
    {NULL, "", NULL, SDLK_KP_ENTER, 0, act_enter, 0},

    {"Scale and plumb", "C", "scale from a court distance", SDLK_c, 0, act_scale, 0},
    {NULL, "Shift C", "take the scale in use off", SDLK_c, SHIFT, act_drop_scale, 0},
    {NULL, "M", "scale from court landmarks", SDLK_m, 0, act_court, 0},
    {NULL, "Y", "scale from the fall of the toss", SDLK_y, 0, act_toss_scale, 0},
    {NULL, "P", "plumb", SDLK_p, 0, act_plumb, 0},

    {"Ink", "I", "draw; the next kind of mark", SDLK_i, 0, act_ink, 0},
    {NULL, "Shift I", "the next hue", SDLK_i, SHIFT, act_ink_hue, 0},
    {NULL, "Ctrl I", "on which frames it is seen", SDLK_i, CTRL, act_ink_frames, 0},
    {NULL, "Shift X", "rub ink out", SDLK_x, SHIFT, act_ink_rub, 0},
    {NULL, "Shift Delete", "all ink of this frame", SDLK_DELETE, SHIFT, act_ink_clear, 0},

    {"Talk-through", "R", "record; pause; record on", SDLK_r, 0, act_talk_record, 0},
    {NULL, "Shift R", "end the take", SDLK_r, SHIFT, act_talk_end, 0},
    {NULL, "Ctrl Space", "play it, stop", SDLK_SPACE, CTRL, act_talk_play, 0},
    {NULL, "[  ]", "a second back, on", SDLK_LEFTBRACKET, 0, act_talk_step, -1},
    {NULL, "]", NULL, SDLK_RIGHTBRACKET, 0, act_talk_step, 1},
    {NULL, "Shift P", "a part begins here", SDLK_p, SHIFT, act_talk_part, 0},
    {NULL, "Ctrl Delete", "take the part out", SDLK_DELETE, CTRL, act_talk_cut, 0},

    {"Who and view", "H", "hand", SDLK_h, 0, act_hand, 0},
    {NULL, "V", "view", SDLK_v, 0, act_view, 0},
    {NULL, "N", "side of the net", SDLK_n, 0, act_net, 0},
    {NULL, "T", "how tall: stature", SDLK_t, 0, act_stature, 0},
    {NULL, "Shift S", "history of the shoulder", SDLK_s, SHIFT, act_shoulder, 0},
    {NULL, "W", "who: the player's name", SDLK_w, 0, act_player, 0},
    {NULL, "D", "slowdown of the clip", SDLK_d, 0, act_slowdown, 0},
    {NULL, "Shift D", "shutter of the clip", SDLK_d, SHIFT, act_shutter, 0},

    {"Sheet", "\u2191  \u2193", "walk the sheet, Enter does it", SDLK_UP, 0, act_walk_sheet, -1},
    {NULL, "", NULL, SDLK_DOWN, 0, act_walk_sheet, 1},

    {"Picture", "+  \u2212", "nearer, farther", SDLK_PLUS, 0, act_zoom, 1},
    {NULL, "", NULL, SDLK_PLUS, SHIFT, act_zoom, 1},
    {NULL, "", NULL, SDLK_EQUALS, 0, act_zoom, 1},
    {NULL, "", NULL, SDLK_EQUALS, SHIFT, act_zoom, 1},
    {NULL, "", NULL, SDLK_KP_PLUS, 0, act_zoom, 1},
    {NULL, "", NULL, SDLK_MINUS, 0, act_zoom, -1},
    {NULL, "", NULL, SDLK_KP_MINUS, 0, act_zoom, -1},
    {NULL, "", NULL, SDLK_PAGEUP, CTRL, act_zoom, 1}, /* where + or - needs a second key */
    {NULL, "", NULL, SDLK_PAGEDOWN, CTRL, act_zoom, -1},
    {NULL, "F", "fit the whole picture", SDLK_f, 0, act_fit, 0},
    {NULL, "", NULL, SDLK_0, 0, act_fit, 0},
    {NULL, "O", "overlay shown, hidden", SDLK_o, 0, act_plain, 0},
    {NULL, "B", "bright or dark window", SDLK_b, 0, act_theme, 0},
    {NULL, "U", "units", SDLK_u, 0, act_units, 0},
    {NULL, "Ctrl +  \u2212", "larger, smaller text", SDLK_PLUS, CTRL, act_text_size, 1},
    {NULL, "", NULL, SDLK_PLUS, CTRL | SHIFT, act_text_size, 1},
    {NULL, "", NULL, SDLK_EQUALS, CTRL, act_text_size, 1},
    {NULL, "", NULL, SDLK_EQUALS, CTRL | SHIFT, act_text_size, 1},
    {NULL, "", NULL, SDLK_KP_PLUS, CTRL, act_text_size, 1},
    {NULL, "", NULL, SDLK_MINUS, CTRL, act_text_size, -1},
    {NULL, "", NULL, SDLK_KP_MINUS, CTRL, act_text_size, -1},
    {NULL, "", NULL, SDLK_0, CTRL, act_text_size, 0},
    {NULL, "F11", "full screen", SDLK_F11, 0, act_full_screen, 0},

    {"Compare", "Ctrl B", "with another clip", SDLK_b, CTRL, act_compare, 0},
    {NULL, "Shift B", "beside, one over the other", SDLK_b, SHIFT, act_over, 0},
    {NULL, "Ctrl ,  .", "the other alone, back, on", SDLK_COMMA, CTRL, act_other_step, -1},
    {NULL, "", NULL, SDLK_PERIOD, CTRL, act_other_step, 1},
    {NULL, "Ctrl L", "lock at the next moment", SDLK_l, CTRL, act_lock, 0},
    {NULL, "Ctrl X", "swap the two", SDLK_x, CTRL, act_swap, 0},
    {NULL, "Ctrl W", "put the other away", SDLK_w, CTRL, act_end_compare, 0},

    {"Review", "Ctrl Z", "undo", SDLK_z, CTRL, act_undo, 0},
    {NULL, "Ctrl Y", "redo", SDLK_y, CTRL, act_redo, 0},
    {NULL, "Ctrl Shift Z", NULL, SDLK_z, CTRL | SHIFT, act_redo, 0},
    {NULL, "S", "still of this frame", SDLK_s, 0, act_still, 0},
    {NULL, "Ctrl S", "stills of all moments", SDLK_s, CTRL, act_all_stills, 0},
    {NULL, "Ctrl O", "open by path", SDLK_o, CTRL, act_open, 0},
    {NULL, "F5", "open the clip again", SDLK_F5, 0, act_reopen, 0},
    {NULL, "Ctrl Shift O", "open out of a folder", SDLK_o, CTRL | SHIFT, act_browse, 0},
    {NULL, "Ctrl R", "recent clips", SDLK_r, CTRL, act_recent, 0},
    {NULL, "Ctrl D", "the other clips of the folder", SDLK_d, CTRL, act_folder, 0},
    {NULL, "Ctrl P", "preferences", SDLK_p, CTRL, act_preferences, 0},
    {NULL, "F1  ?", "these keys", SDLK_F1, 0, act_keys, 0},
    {NULL, "", NULL, SDLK_QUESTION, 0, act_keys, 0},
    {NULL, "", NULL, SDLK_QUESTION, SHIFT, act_keys, 0},
    {NULL, "", NULL, SDLK_SLASH, SHIFT, act_keys, 0},
    {NULL, "F2", "first walk, on a demo clip", SDLK_F2, 0, act_first_walk, 0},
    {NULL, "Shift F2", "skip a step of the walk", SDLK_F2, SHIFT, act_skip_step, 0},
    {NULL, "Esc", "leave what is begun", SDLK_ESCAPE, 0, act_escape, 0},
    {NULL, "Ctrl Q", "close", SDLK_q, CTRL, act_quit, 0},
};

size_t command_count(void) { return sizeof table / sizeof table[0]; }

const command *command_at(size_t index) { return &table[index]; }

const char *command_keys(action *act, int argument) {
    for (size_t i = 0; i < command_count(); i++)
        if (table[i].act == act && table[i].argument == argument) return table[i].keys;
    return "";
}

static Uint16 held_of(Uint16 mod) {
    Uint16 held = 0;
    if ((mod & KMOD_CTRL) != 0) held |= CTRL;
    if ((mod & KMOD_SHIFT) != 0) held |= SHIFT;
    if ((mod & KMOD_ALT) != 0) held |= ALT;
    return held;
}

/* On some keyboards a digit is the shifted sign of its key, the number block has its own, and where
 * letters are not Latin the key is told by its place. */
static SDL_Keycode key_of(const SDL_Keysym *sym) {
    if (sym->scancode >= SDL_SCANCODE_1 && sym->scancode <= SDL_SCANCODE_9)
        return SDLK_1 + (SDL_Keycode)(sym->scancode - SDL_SCANCODE_1);
    if (sym->sym >= SDLK_KP_1 && sym->sym <= SDLK_KP_9) return SDLK_1 + (sym->sym - SDLK_KP_1);
    const bool foreign = sym->sym > 0x7F && (sym->sym & SDLK_SCANCODE_MASK) == 0;
    if (foreign && sym->scancode >= SDL_SCANCODE_A && sym->scancode <= SDL_SCANCODE_Z)
        return SDLK_a + (SDL_Keycode)(sym->scancode - SDL_SCANCODE_A);
    return sym->sym;
}

static const command *find(SDL_Keycode key, Uint16 held) {
    for (size_t i = 0; i < command_count(); i++)
        if (table[i].key == key && table[i].held == held) return &table[i];
    return NULL;
}

/* While it is held down the space bar turns a drag into a pan; it plays when let go without one. */
static bool space(window *w, const SDL_KeyboardEvent *event) {
    if (event->keysym.sym != SDLK_SPACE || held_of(event->keysym.mod) != 0) return false;
    if (event->type == SDL_KEYDOWN && event->repeat == 0) {
        w->space_down = true;
        w->space_used = false;
    } else if (event->type == SDL_KEYUP && w->space_down) {
        w->space_down = false;
        if (!w->space_used) act_play(w, 0);
    }
    return true;
}

void command_key(window *w, const SDL_KeyboardEvent *event) {
    if (space(w, event) || event->type != SDL_KEYDOWN) return;
    w->key_repeats = event->repeat != 0 ? w->key_repeats + 1 : 0;
    const command *todo = find(key_of(&event->keysym), held_of(event->keysym.mod));
    if (todo != NULL) frames_do(w, todo->act, todo->argument);
}
