#include "window/plate.h"

#include <math.h>

static bool make_texture(plate *p, SDL_Renderer *renderer, Uint32 format, int width, int height) {
    p->planes = format != SDL_PIXELFORMAT_ARGB8888;
    if (p->texture != NULL && p->format == format && p->width == width && p->height == height)
        return true;
    plate_forget(p);
    p->texture = SDL_CreateTexture(renderer, format, SDL_TEXTUREACCESS_STREAMING, width, height);
    p->format = format;
    p->width = width;
    p->height = height;
    return p->texture != NULL;
}

static bool fail_display(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "the display cannot take the picture: %s",
                   SDL_GetError());
}

static bool take_planes(plate *p, SDL_Renderer *renderer, const sp_frame_planes *from,
                        sp_error *error) {
    static const SDL_YUV_CONVERSION_MODE modes[] = {
        [SP_MATRIX_BT601] = SDL_YUV_CONVERSION_BT601,
        [SP_MATRIX_BT709] = SDL_YUV_CONVERSION_BT709,
        [SP_MATRIX_BT601_FULL] = SDL_YUV_CONVERSION_JPEG,
    };
    SDL_SetYUVConversionMode(modes[from->matrix]);
    const Uint32 format = from->interleaved ? SDL_PIXELFORMAT_NV12 : SDL_PIXELFORMAT_IYUV;
    if (!make_texture(p, renderer, format, from->width, from->height)) return fail_display(error);
    const int bad =
        from->interleaved
            ? SDL_UpdateNVTexture(p->texture, NULL, from->data[0], from->stride[0], from->data[1],
                                  from->stride[1])
            : SDL_UpdateYUVTexture(p->texture, NULL, from->data[0], from->stride[0], from->data[1],
                                   from->stride[1], from->data[2], from->stride[2]);
    return bad == 0 || fail_display(error);
}

static int side_most(SDL_Renderer *renderer) {
    SDL_RendererInfo info;
    int most = SP_PICTURE_SIDE_MAX;
    if (SDL_GetRendererInfo(renderer, &info) == 0) {
        if (info.max_texture_width > 0) most = SDL_min(most, info.max_texture_width);
        if (info.max_texture_height > 0) most = SDL_min(most, info.max_texture_height);
    }
    return most;
}

static bool take_picture(plate *p, SDL_Renderer *renderer, const sp_clip_facts *facts,
                         const sp_frame *frame, sp_error *error) {
    const int most = side_most(renderer);
    sp_picture picture;
    if (!sp_picture_init(&picture, SDL_min(facts->width, most), SDL_min(facts->height, most),
                         error))
        return false;
    bool good = sp_frame_to_picture(frame, &picture, error);
    if (good &&
        (!make_texture(p, renderer, SDL_PIXELFORMAT_ARGB8888, picture.width, picture.height) ||
         SDL_UpdateTexture(p->texture, NULL, picture.pixels, (int)picture.stride)))
        good = fail_display(error);
    sp_picture_clear(&picture);
    return good;
}

bool plate_take(plate *p, SDL_Renderer *renderer, const sp_clip_facts *facts, const sp_frame *frame,
                sp_error *error) {
    sp_frame_planes planes;
    const int most = side_most(renderer);
    if (sp_frame_get_planes(frame, &planes) && planes.width <= most && planes.height <= most)
        return take_planes(p, renderer, &planes, error);
    return take_picture(p, renderer, facts, frame, error);
}

void plate_forget(plate *p) {
    if (p->texture != NULL) SDL_DestroyTexture(p->texture);
    p->texture = NULL;
}

/* Unit squares: u, v of the upright picture; s, t of the stored one. */
static void to_stored(double turn, bool mirrored, double u, double v, double *s, double *t) {
    switch ((int)turn) {
    case 90: *s = v, *t = 1 - u; break;
    case 180: *s = 1 - u, *t = 1 - v; break;
    case 270: *s = 1 - v, *t = u; break;
    default: *s = u, *t = v; break;
    }
    if (mirrored) *s = 1 - *s;
}

static void to_upright(double turn, bool mirrored, double s, double t, double *u, double *v) {
    if (mirrored) s = 1 - s;
    switch ((int)turn) {
    case 90: *u = 1 - t, *v = s; break;
    case 180: *u = 1 - s, *v = 1 - t; break;
    case 270: *u = t, *v = 1 - s; break;
    default: *u = s, *v = t; break;
    }
}

static void whole_pixels(double a, double b, int size, int *start, int *length) {
    const int low = (int)floor(fmax(0, fmin(a, b)) * size);
    const int high = (int)ceil(fmin(1, fmax(a, b)) * size);
    *start = SDL_clamp(low, 0, size - 1);
    *length = SDL_clamp(high, *start + 1, size) - *start;
}

/* Only the pixels in view are handed over: a software renderer builds all that it is given. */
void plate_show(const plate *p, SDL_Renderer *renderer, const sp_clip_facts *facts, SDL_Rect area,
                const placement *at, bool squares) {
    if (p->texture == NULL) return;
    const double turn = p->planes ? facts->rotation_deg : 0;
    const bool mirrored = p->planes && facts->mirrored;
    const double width = at->zoom * facts->width, height = at->zoom * facts->height;
    double s[2], t[2], u[2], v[2];
    to_stored(turn, mirrored, (area.x - at->x) / width, (area.y - at->y) / height, &s[0], &t[0]);
    to_stored(turn, mirrored, (area.x + area.w - at->x) / width, (area.y + area.h - at->y) / height,
              &s[1], &t[1]);
    if (fmin(s[0], s[1]) >= 1 || fmax(s[0], s[1]) <= 0 || fmin(t[0], t[1]) >= 1 ||
        fmax(t[0], t[1]) <= 0)
        return;
    SDL_Rect from;
    whole_pixels(s[0], s[1], p->width, &from.x, &from.w);
    whole_pixels(t[0], t[1], p->height, &from.y, &from.h);
    to_upright(turn, mirrored, (double)from.x / p->width, (double)from.y / p->height, &u[0], &v[0]);
    to_upright(turn, mirrored, (double)(from.x + from.w) / p->width,
               (double)(from.y + from.h) / p->height, &u[1], &v[1]);
    const double dw = fabs(u[1] - u[0]) * width, dh = fabs(v[1] - v[0]) * height;
    const double cx = at->x + (u[0] + u[1]) / 2 * width, cy = at->y + (v[0] + v[1]) / 2 * height;
    const bool aside = turn == 90 || turn == 270;
    const double w0 = aside ? dh : dw, h0 = aside ? dw : dh;
    const SDL_FRect to = {(float)(cx - w0 / 2), (float)(cy - h0 / 2), (float)w0, (float)h0};
    SDL_SetTextureScaleMode(p->texture, squares ? SDL_ScaleModeNearest : SDL_ScaleModeLinear);
    SDL_RenderSetClipRect(renderer, &area);
    SDL_RenderCopyExF(renderer, p->texture, &from, &to, turn, NULL,
                      mirrored ? SDL_FLIP_HORIZONTAL : SDL_FLIP_NONE);
    SDL_RenderSetClipRect(renderer, NULL);
}
