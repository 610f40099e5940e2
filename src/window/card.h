/* A card over the picture: the keys, a list to choose from, or a line to type. */
#ifndef SP_WINDOW_CARD_H
#define SP_WINDOW_CARD_H

#include <stdbool.h>
#include <stddef.h>

#include <SDL.h>

#include "window/brush.h"
#include "window/pane.h"
#include "window/spots.h"

struct window;

#define CARD_LIST_ROW 46.0 /* units */

typedef enum { CARD_NONE, CARD_KEYS, CARD_LIST, CARD_LINE, CARD_COURT } card_kind;

/* A list to choose from. */
typedef struct {
    const char *title;
    int (*count)(const struct window *w);
    const char *(*name)(const struct window *w, int index);
    const char *(*detail)(const struct window *w, int index); /* may be NULL */
    void (*choose)(struct window *w, int index);
    const sp_picture *(*picture)(const struct window *w, int index); /* may be NULL */
    double row;                                                      /* units; 0: CARD_LIST_ROW */
} card_list;

/* A line to type. `accept` returns false with an error to keep the card open. */
typedef struct {
    const char *title, *hint;
    void (*begin)(const struct window *w, char *text, size_t size);
    bool (*accept)(struct window *w, const char *text, sp_error *error);
} card_line;

typedef struct {
    card_kind kind;
    const card_list *list;
    const card_line *line;
    int chosen;
    double scroll, content, height; /* units; height of the part that scrolls */
    double row;                     /* of a list, when it was last painted */
    char text[512], wrong[600];
    bool fresh;  /* the text is an offer: typing replaces it */
    bool number; /* of a line: fingers get digits to press */
    pane pane;
    spots spots;
} card;

void card_show_keys(struct window *w);
void card_show_list(struct window *w, const card_list *list, int chosen);
void card_show_court(struct window *w);
void card_show_line(struct window *w, const card_line *line);
/* A line for a number. */
void card_show_number(struct window *w, const card_line *line);
void card_close(struct window *w);
/* A card that takes the keys and the pointer is up. */
bool card_is_up(const struct window *w);
/* True when the card took the event. */
bool card_key(struct window *w, const SDL_KeyboardEvent *key);
void card_typed(struct window *w, const char *text);
/* Of the places to press on a card. */
action card_landmark; /* by its index in the table */
action card_command;  /* by its index in the table of keys */
action card_digit;    /* by its character; '\b' takes the last one back */
action card_choose, card_shut, card_accept, card_nothing;
void card_scroll(struct window *w, double by);
/* As large as it can be, in the middle of a square; its outline where there is no picture. */
void card_picture(const brush *b, const sp_picture *picture, double x, double y, double side);
bool card_paint(struct window *w, sp_error *error);

#endif
