#include "window/icon.h"

#include "serveplumb/theme.h"

#define SIDE 64

/* A plumb line with its bob, and the ball beside it. */
static void paint(sp_paint *p, const sp_theme *theme) {
    const sp_point bob[] = {{23, 41}, {35, 41}, {29, 56}};
    sp_paint_fill_rect(p, (sp_rect){2, 2, SIDE - 4, SIDE - 4}, 14, theme->sheet);
    sp_paint_line(p, (sp_point){29, 9}, (sp_point){29, 42}, 4, theme->plumb);
    sp_paint_polygon(p, bob, 3, theme->plumb);
    sp_paint_disc(p, (sp_point){45, 21}, 8, theme->ball);
}

void icon_set(SDL_Window *handle) {
    sp_picture picture;
    if (!sp_picture_init(&picture, SIDE, SIDE, NULL)) return;
    sp_paint *p = sp_paint_new(&picture, 1, NULL);
    if (p != NULL) {
        paint(p, sp_theme_dark());
        if (sp_paint_finish(p, NULL)) {
            SDL_Surface *surface = SDL_CreateRGBSurfaceWithFormatFrom(
                picture.pixels, SIDE, SIDE, 32, (int)picture.stride, SDL_PIXELFORMAT_ARGB8888);
            if (surface != NULL) SDL_SetWindowIcon(handle, surface);
            SDL_FreeSurface(surface);
        }
    }
    sp_paint_free(p);
    sp_picture_clear(&picture);
}
