/* What the bar, the sheet and the cards are painted with: text, signs, key labels, buttons. */
#ifndef SP_WINDOW_BRUSH_H
#define SP_WINDOW_BRUSH_H

#include <stdbool.h>

#include "serveplumb/theme.h"
#include "window/spots.h"

typedef struct {
    sp_paint *paint;
    const sp_theme *theme;
    spots *spots;
    action *focus_act; /* drawn with a ring */
    int focus_argument;
} brush;

typedef enum { SIGN_DONE, SIGN_NEXT, SIGN_MISSING, SIGN_WARN } sign;

typedef struct {
    double size;
    bool bold, digits, wrap;
    sp_color color;
    sp_align align;
} words;

sp_size brush_size(const brush *b, words how, double width, const char *text);
/* Within `width` from (x, y), the top of its box; the height used. */
double brush_text(const brush *b, words how, double x, double y, double width, const char *text);
/* On one line, its box centred on y. */
void brush_line(const brush *b, words how, double x, double y, double width, const char *text);
words brush_body(const brush *b);
words brush_faint(const brush *b);

/* Units; what a finger presses is at least so high and wide. Common in guidelines for touch
 * (WCAG 2.1, 2.5.5: 44 CSS pixels). */
#define FINGERTIP 44.0

/* Each sign has its own shape, so that it can be told without its colour. */
void brush_sign(const brush *b, sign which, double x, double y);
/* The label of a key, its right edge at `x`, centred on y; its width. */
double brush_keys(const brush *b, double x, double y, const char *keys);
/* Ground and edge of a button, recorded as a spot. */
void brush_button(const brush *b, sp_rect rect, bool strong, action *act, int argument);
/* Records a spot, with the ring of the focus where it has it. */
void brush_spot(const brush *b, sp_rect rect, action *act, int argument);

#endif
