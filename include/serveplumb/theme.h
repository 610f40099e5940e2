/* Colours, sizes, type: the one place for them. Data hues are those of Okabe and Ito (2008, "Color
 * Universal Design"), which colour-blind readers can tell apart; each thing keeps its hue in every
 * picture. */
#ifndef SERVEPLUMB_THEME_H
#define SERVEPLUMB_THEME_H

#include "serveplumb/paint.h"

typedef struct {
    const char *id; /* "dark", "light" */
    /* window */
    sp_color room;       /* behind the picture */
    sp_color sheet;      /* panels */
    sp_color raised;     /* buttons, fields */
    sp_color edge;       /* hairlines */
    sp_color text;       /* at least 7:1 on sheet */
    sp_color faint;      /* at least 4.5:1 on sheet */
    sp_color accent;     /* the next step, focus */
    sp_color on_accent;  /* text on accent */
    sp_color done, warn; /* always with a sign or word beside it */
    /* data */
    sp_color hitting_arm, body, racquet, ball, plumb, scale;
    sp_color label_ground; /* behind numbers in the picture, part transparent */
    sp_color label_text;
    double text_px, small_px, title_px; /* at least 13 */
} sp_theme;

const sp_theme *sp_theme_dark(void);
const sp_theme *sp_theme_light(void);
/* WCAG 2.1 contrast ratio of two opaque colours, 1..21. */
double sp_color_contrast(sp_color a, sp_color b);

#endif
