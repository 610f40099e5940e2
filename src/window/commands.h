/* The table of keys. Dispatch, the card of keys, the labels beside the rows of the sheet and the
 * tests read it; no key is handled anywhere else, but for typing in a card. */
#ifndef SP_WINDOW_COMMANDS_H
#define SP_WINDOW_COMMANDS_H

#include <stdbool.h>
#include <stddef.h>

#include <SDL.h>

#include "window/spots.h"

typedef struct {
    const char *group; /* heading on the card of keys; NULL: as the row above */
    const char *keys;  /* as people read them */
    const char *title; /* what it does; NULL: a second key or direction of the row above */
    SDL_Keycode key;
    Uint16 held; /* KMOD_CTRL, KMOD_SHIFT, KMOD_ALT, together */
    action *act;
    int argument;
} command;

size_t command_count(void);
const command *command_at(size_t index);
/* The keys of an action; "" when it has none. */
const char *command_keys(action *act, int argument);
void command_key(struct window *w, const SDL_KeyboardEvent *event);

#endif
