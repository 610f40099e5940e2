#include "window/pane.h"

#include <stdint.h>

static bool fits(const pane *p, SDL_Rect place, double density) {
    return p->paint != NULL && p->picture.width == place.w && p->picture.height == place.h &&
           p->density == density;
}

sp_paint *pane_begin(pane *p, SDL_Rect place, double density, bool see_through, sp_error *error) {
    if (!fits(p, place, density)) {
        pane_free(p);
        if (!sp_picture_init(&p->picture, place.w, place.h, error)) return NULL;
        p->density = density;
        p->paint = sp_paint_new(&p->picture, density, error);
    }
    p->place = place;
    p->see_through = see_through;
    if (p->paint != NULL && see_through) sp_paint_clear(p->paint, (sp_color){0});
    return p->paint;
}

static uint32_t straight(uint32_t pixel) {
    const uint32_t a = pixel >> 24;
    if (a == 0 || a == 255) return pixel;
    const uint32_t r = ((pixel >> 16 & 255) * 255 + a / 2) / a;
    const uint32_t g = ((pixel >> 8 & 255) * 255 + a / 2) / a;
    const uint32_t b = ((pixel & 255) * 255 + a / 2) / a;
    return a << 24 | SDL_min(r, 255u) << 16 | SDL_min(g, 255u) << 8 | SDL_min(b, 255u);
}

/* SDL's software renderer cannot blend premultiplied colours. */
static bool upload_straight(const pane *p) {
    void *pixels;
    int pitch;
    if (SDL_LockTexture(p->texture, NULL, &pixels, &pitch) != 0) return false;
    for (int y = 0; y < p->picture.height; y++) {
        const uint32_t *from = (const void *)(p->picture.pixels + (size_t)y * p->picture.stride);
        uint32_t *to = (void *)((uint8_t *)pixels + (ptrdiff_t)y * pitch);
        for (int x = 0; x < p->picture.width; x++) to[x] = straight(from[x]);
    }
    SDL_UnlockTexture(p->texture);
    return true;
}

static bool upload(const pane *p) {
    if (p->see_through) return upload_straight(p);
    return SDL_UpdateTexture(p->texture, NULL, p->picture.pixels, (int)p->picture.stride) == 0;
}

bool pane_end(pane *p, SDL_Renderer *renderer, sp_error *error) {
    if (!sp_paint_finish(p->paint, error)) return false;
    if (p->texture == NULL)
        p->texture =
            SDL_CreateTexture(renderer, SDL_PIXELFORMAT_ARGB8888, SDL_TEXTUREACCESS_STREAMING,
                              p->picture.width, p->picture.height);
    if (p->texture == NULL || !upload(p))
        return sp_fail(error, SP_ERROR_MEMORY,
                       "the display cannot take a picture of %d x %d pixels: %s", p->picture.width,
                       p->picture.height, SDL_GetError());
    SDL_SetTextureBlendMode(p->texture, p->see_through ? SDL_BLENDMODE_BLEND : SDL_BLENDMODE_NONE);
    return true;
}

void pane_show(const pane *p, SDL_Renderer *renderer) {
    if (p->texture != NULL) SDL_RenderCopy(renderer, p->texture, NULL, &p->place);
}

void pane_forget(pane *p) {
    if (p->texture != NULL) SDL_DestroyTexture(p->texture);
    p->texture = NULL;
}

void pane_free(pane *p) {
    pane_forget(p);
    sp_paint_free(p->paint);
    p->paint = NULL;
    sp_picture_clear(&p->picture);
}
