#include "window/pane.h"

#include <stdint.h>
#include <stdlib.h>

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

/* 255 / a for each a, in 1/65536: a division for each pixel is dear. */
static void fill_shares(uint32_t share[256]) {
    share[0] = 0;
    for (uint32_t a = 1; a < 256; a++) share[a] = ((255u << 16) + a / 2) / a;
}

static uint32_t straight(uint32_t pixel, const uint32_t share[256]) {
    const uint32_t a = pixel >> 24;
    if (a == 0 || a == 255) return pixel;
    const uint32_t by = share[a], half = 1u << 15;
    const uint32_t r = ((pixel >> 16 & 255) * by + half) >> 16;
    const uint32_t g = ((pixel >> 8 & 255) * by + half) >> 16;
    const uint32_t b = ((pixel & 255) * by + half) >> 16;
    return a << 24 | SDL_min(r, 255u) << 16 | SDL_min(g, 255u) << 8 | SDL_min(b, 255u);
}

#define TILE_WIDTH 64
#define TILE_HEIGHT 16

static bool is_empty(const pane *p, SDL_Rect r) {
    uint32_t seen = 0;
    for (int y = r.y; y < r.y + r.h; y++) {
        const uint32_t *row = (const void *)(p->picture.pixels + (size_t)y * p->picture.stride);
        for (int x = r.x; x < r.x + r.w; x++) seen |= row[x];
        if (seen != 0) return false;
    }
    return true;
}

static bool add_run(pane *p, SDL_Rect r) {
    SDL_Rect *last = p->run_count > 0 ? &p->runs[p->run_count - 1] : NULL;
    if (last != NULL && last->y == r.y && last->x + last->w == r.x) {
        last->w += r.w;
        return true;
    }
    if (p->run_count == p->run_room) {
        const int room = SDL_max(64, 2 * p->run_room);
        SDL_Rect *runs = realloc(p->runs, (size_t)room * sizeof *runs);
        if (runs == NULL) return false;
        p->runs = runs;
        p->run_room = room;
    }
    p->runs[p->run_count++] = r;
    return true;
}

static bool find_runs(pane *p) {
    p->run_count = 0;
    for (int y = 0; y < p->picture.height; y += TILE_HEIGHT)
        for (int x = 0; x < p->picture.width; x += TILE_WIDTH) {
            const SDL_Rect tile = {x, y, SDL_min(TILE_WIDTH, p->picture.width - x),
                                   SDL_min(TILE_HEIGHT, p->picture.height - y)};
            if (!is_empty(p, tile) && !add_run(p, tile)) return false;
        }
    return true;
}

/* SDL's software renderer cannot blend premultiplied colours. In place: a see-through pane is
 * cleared before it is painted again. */
static bool upload_straight(pane *p) {
    if (!find_runs(p)) return false;
    uint32_t share[256];
    fill_shares(share);
    for (int i = 0; i < p->run_count; i++) {
        const SDL_Rect r = p->runs[i];
        uint8_t *corner =
            p->picture.pixels + (size_t)r.y * p->picture.stride + (size_t)r.x * sizeof(uint32_t);
        for (int y = 0; y < r.h; y++) {
            uint32_t *row = (void *)(corner + (size_t)y * p->picture.stride);
            for (int x = 0; x < r.w; x++) row[x] = straight(row[x], share);
        }
        if (SDL_UpdateTexture(p->texture, &r, corner, (int)p->picture.stride) != 0) return false;
    }
    return true;
}

static bool upload(pane *p) {
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
    if (p->texture == NULL) return;
    if (!p->see_through) {
        SDL_RenderCopy(renderer, p->texture, NULL, &p->place);
        return;
    }
    for (int i = 0; i < p->run_count; i++) {
        const SDL_Rect from = p->runs[i];
        const SDL_Rect to = {p->place.x + from.x, p->place.y + from.y, from.w, from.h};
        SDL_RenderCopy(renderer, p->texture, &from, &to);
    }
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
    free(p->runs);
    p->runs = NULL;
    p->run_count = p->run_room = 0;
}
