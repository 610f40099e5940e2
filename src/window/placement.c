#include "window/placement.h"

#include <math.h>

#define MARGIN 8.0 /* units around a fitted picture */

static double fit_zoom(SDL_Rect canvas, double margin, int width, int height) {
    const double w = fmax(canvas.w - 2 * margin, 16), h = fmax(canvas.h - 2 * margin, 16);
    return fmin(w / width, h / height);
}

placement placement_fit(SDL_Rect canvas, double density, int width, int height) {
    const double zoom = fit_zoom(canvas, MARGIN * density, width, height);
    /* Whole output pixels at the corner keep edges sharp. */
    return (placement){.zoom = zoom,
                       .x = round(canvas.x + (canvas.w - zoom * width) / 2),
                       .y = round(canvas.y + (canvas.h - zoom * height) / 2),
                       .fitted = true};
}

/* The middle of the canvas always shows some of the picture, so that it cannot get lost. */
static double keep(double origin, double length, double low, double size) {
    const double middle = low + size / 2;
    return fmin(fmax(origin, middle - length), middle);
}

static placement kept(placement p, SDL_Rect canvas, int width, int height) {
    p.x = keep(p.x, p.zoom * width, canvas.x, canvas.w);
    p.y = keep(p.y, p.zoom * height, canvas.y, canvas.h);
    p.fitted = false;
    return p;
}

placement placement_zoom(placement p, SDL_Rect canvas, int width, int height, double factor,
                         sp_point at) {
    const double least = fmin(0.5 * fit_zoom(canvas, 0, width, height), 1);
    const double zoom = fmax(least, fmin(PLACEMENT_ZOOM_MOST, p.zoom * factor));
    const sp_point under = placement_to_upright(&p, at);
    const placement to = {.zoom = zoom, .x = at.x - under.x * zoom, .y = at.y - under.y * zoom};
    return kept(to, canvas, width, height);
}

placement placement_pan(placement p, SDL_Rect canvas, int width, int height, double dx, double dy) {
    p.x += dx;
    p.y += dy;
    return kept(p, canvas, width, height);
}

static double shift(double at, double low, double size) {
    const double margin = 0.15 * size;
    if (at < low + margin) return low + margin - at;
    if (at > low + size - margin) return low + size - margin - at;
    return 0;
}

placement placement_reveal(placement p, SDL_Rect canvas, sp_point upright) {
    if (p.fitted) return p;
    const sp_point at = placement_to_window(&p, upright);
    p.x += shift(at.x, canvas.x, canvas.w);
    p.y += shift(at.y, canvas.y, canvas.h);
    return p;
}

sp_point placement_to_window(const placement *p, sp_point upright) {
    return (sp_point){p->x + upright.x * p->zoom, p->y + upright.y * p->zoom};
}

sp_point placement_to_upright(const placement *p, sp_point window) {
    return (sp_point){(window.x - p->x) / p->zoom, (window.y - p->y) / p->zoom};
}
