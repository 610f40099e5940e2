#include "window/layout.h"

#include <math.h>

/* Units. The bar takes a fingertip (44, as accessibility guidelines ask). */
#define BAR 48.0
#define STRIP 104.0
#define STRIP_LOW 76.0 /* where the window is low */
#define HEIGHT_LOW 700.0
#define SHEET_LEAST 348.0
#define SHEET_MOST 460.0

static double within(double value, double least, double most) {
    return fmax(least, fmin(most, value));
}

/* A narrow clip leaves room beside it, which the sheet can use. */
static double sheet_width(double width, double canvas_height, double aspect) {
    const double beside = aspect > 0 ? width - canvas_height * aspect : 0;
    const double wanted = fmax(0.27 * width, fmin(beside, 440));
    return fmin(within(wanted, SHEET_LEAST, SHEET_MOST), 0.5 * width);
}

static double strip_height(double height) { return height < HEIGHT_LOW ? STRIP_LOW : STRIP; }

static double canvas_height(double width, double height, double aspect) {
    const double room = height - BAR - strip_height(height);
    const double wanted = aspect > 0 ? width / aspect : 0.5 * room;
    return within(wanted, 0.45 * room, 0.62 * room);
}

layout layout_make(int width, int height, double density, double aspect) {
    layout l = {.width = width, .height = height, .density = density};
    l.upright = height > width;
    const int bar = (int)lround(BAR * density),
              strip = (int)lround(strip_height(height / density) * density);
    const double w = width / density, h = height / density;
    if (l.upright) {
        const int canvas = (int)lround(canvas_height(w, h, aspect) * density);
        l.canvas = (SDL_Rect){0, 0, width, canvas};
        l.bar = (SDL_Rect){0, canvas, width, bar};
        l.strip = (SDL_Rect){0, canvas + bar, width, strip};
        l.sheet = (SDL_Rect){0, canvas + bar + strip, width, height - canvas - bar - strip};
    } else {
        const int sheet = (int)lround(sheet_width(w, h - BAR - strip_height(h), aspect) * density);
        const int left = width - sheet, canvas = height - bar - strip;
        l.canvas = (SDL_Rect){0, 0, left, canvas};
        l.bar = (SDL_Rect){0, canvas, left, bar};
        l.strip = (SDL_Rect){0, canvas + bar, left, strip};
        l.sheet = (SDL_Rect){left, 0, sheet, height};
    }
    return l;
}
