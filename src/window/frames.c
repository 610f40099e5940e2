#include "window/frames.h"

#include <math.h>

#include "base/text.h"
#include "window/moments.h"
#include "window/state.h"

static bool shows_in_sheet(const window *w, int frame) {
    if (moment_on(w->session.review, frame) != NULL) return true;
    for (int i = 0; i < SP_POINT_COUNT; i++)
        if (sp_review_mark(w->session.review, frame, (sp_point_name)i, NULL)) return true;
    return false;
}

void frames_go(window *w, int number) {
    if (!window_is_open(w)) return;
    frames *f = &w->frames;
    number = SDL_clamp(number, 0, w->session.times.count - 1);
    if (number == f->number) return;
    const bool listed = shows_in_sheet(w, f->number) || shows_in_sheet(w, number);
    f->number = number;
    if (!sp_review_mark(w->session.review, number, (sp_point_name)SDL_max(w->tool.selected, 0),
                        NULL))
        w->tool.selected = -1;
    timeline_reveal(w);
    window_touch(w, PART_OVERLAY | PART_BAR | PART_STRIP | (listed ? PART_SHEET : 0u));
}

static bool make_texture(window *w, Uint32 format, int width, int height, bool planes) {
    frames *f = &w->frames;
    f->planes = planes;
    if (f->texture != NULL && f->format == format && f->width == width && f->height == height)
        return true;
    if (f->texture != NULL) SDL_DestroyTexture(f->texture);
    f->texture = SDL_CreateTexture(w->renderer, format, SDL_TEXTUREACCESS_STREAMING, width, height);
    f->format = format;
    f->width = width;
    f->height = height;
    return f->texture != NULL;
}

static bool fail_display(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "the display cannot take the picture: %s",
                   SDL_GetError());
}

static bool upload_planes(window *w, const sp_frame_planes *p, sp_error *error) {
    static const SDL_YUV_CONVERSION_MODE modes[] = {
        [SP_MATRIX_BT601] = SDL_YUV_CONVERSION_BT601,
        [SP_MATRIX_BT709] = SDL_YUV_CONVERSION_BT709,
        [SP_MATRIX_BT601_FULL] = SDL_YUV_CONVERSION_JPEG,
    };
    SDL_SetYUVConversionMode(modes[p->matrix]);
    const Uint32 format = p->interleaved ? SDL_PIXELFORMAT_NV12 : SDL_PIXELFORMAT_IYUV;
    if (!make_texture(w, format, p->width, p->height, true)) return fail_display(error);
    const int bad = p->interleaved
                        ? SDL_UpdateNVTexture(w->frames.texture, NULL, p->data[0], p->stride[0],
                                              p->data[1], p->stride[1])
                        : SDL_UpdateYUVTexture(w->frames.texture, NULL, p->data[0], p->stride[0],
                                               p->data[1], p->stride[1], p->data[2], p->stride[2]);
    return bad == 0 || fail_display(error);
}

static int side_most(window *w) {
    SDL_RendererInfo info;
    int most = SP_PICTURE_SIDE_MAX;
    if (SDL_GetRendererInfo(w->renderer, &info) == 0) {
        if (info.max_texture_width > 0) most = SDL_min(most, info.max_texture_width);
        if (info.max_texture_height > 0) most = SDL_min(most, info.max_texture_height);
    }
    return most;
}

static bool upload_picture(window *w, const sp_frame *frame, sp_error *error) {
    const int most = side_most(w);
    sp_picture picture;
    if (!sp_picture_init(&picture, SDL_min(w->session.facts->width, most),
                         SDL_min(w->session.facts->height, most), error))
        return false;
    bool good = sp_frame_to_picture(frame, &picture, error);
    if (good && (!make_texture(w, SDL_PIXELFORMAT_ARGB8888, picture.width, picture.height, false) ||
                 SDL_UpdateTexture(w->frames.texture, NULL, picture.pixels, (int)picture.stride)))
        good = fail_display(error);
    sp_picture_clear(&picture);
    return good;
}

static bool upload(window *w, const sp_frame *frame, sp_error *error) {
    sp_frame_planes planes;
    const int most = side_most(w);
    if (sp_frame_get_planes(frame, &planes) && planes.width <= most && planes.height <= most)
        return upload_planes(w, &planes, error);
    return upload_picture(w, frame, error);
}

void frames_update(window *w) {
    frames *f = &w->frames;
    if (!window_is_open(w) || f->shown == f->number) return;
    sp_error error = {0};
    f->shown = f->number;
    f->damaged = false;
    f->failed[0] = '\0';
    sp_frame *frame = sp_frame_service_wait(w->session.frames, f->number, &error);
    if (frame == NULL || !upload(w, frame, &error))
        sp_text_copy(f->failed, sizeof f->failed, error.message);
    if (frame != NULL) f->damaged = sp_frame_damaged(frame);
    if (f->damaged || f->failed[0] != '\0') timeline_damaged(w, f->number);
    sp_frame_unref(frame);
    window_touch(w, PART_PICTURE | PART_OVERLAY);
}

bool frames_small(window *w, int side, sp_picture *picture) {
    const sp_clip_facts *facts = w->session.facts;
    const double zoom = (double)side / SDL_max(facts->width, facts->height);
    const int width = SDL_max(1, (int)(facts->width * zoom));
    const int height = SDL_max(1, (int)(facts->height * zoom));
    sp_frame *frame = sp_frame_service_wait(w->session.frames, w->frames.number, NULL);
    if (frame == NULL) return false;
    bool good = sp_picture_init(picture, width, height, NULL);
    if (good && !sp_frame_to_picture(frame, picture, NULL)) {
        sp_picture_clear(picture);
        good = false;
    }
    sp_frame_unref(frame);
    return good;
}

void frames_forget(window *w) {
    frames *f = &w->frames;
    if (f->texture != NULL) SDL_DestroyTexture(f->texture);
    f->texture = NULL;
    f->shown = -1;
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
void frames_show(window *w, SDL_Rect area, const placement *p, bool squares) {
    const frames *f = &w->frames;
    if (f->texture == NULL || f->failed[0] != '\0') return;
    const sp_clip_facts *facts = w->session.facts;
    const double turn = f->planes ? facts->rotation_deg : 0;
    const bool mirrored = f->planes && facts->mirrored;
    const double width = p->zoom * facts->width, height = p->zoom * facts->height;
    double s[2], t[2], u[2], v[2];
    to_stored(turn, mirrored, (area.x - p->x) / width, (area.y - p->y) / height, &s[0], &t[0]);
    to_stored(turn, mirrored, (area.x + area.w - p->x) / width, (area.y + area.h - p->y) / height,
              &s[1], &t[1]);
    if (fmin(s[0], s[1]) >= 1 || fmax(s[0], s[1]) <= 0 || fmin(t[0], t[1]) >= 1 ||
        fmax(t[0], t[1]) <= 0)
        return;
    SDL_Rect from;
    whole_pixels(s[0], s[1], f->width, &from.x, &from.w);
    whole_pixels(t[0], t[1], f->height, &from.y, &from.h);
    to_upright(turn, mirrored, (double)from.x / f->width, (double)from.y / f->height, &u[0], &v[0]);
    to_upright(turn, mirrored, (double)(from.x + from.w) / f->width,
               (double)(from.y + from.h) / f->height, &u[1], &v[1]);
    const double dw = fabs(u[1] - u[0]) * width, dh = fabs(v[1] - v[0]) * height;
    const double cx = p->x + (u[0] + u[1]) / 2 * width, cy = p->y + (v[0] + v[1]) / 2 * height;
    const bool aside = turn == 90 || turn == 270;
    const double w0 = aside ? dh : dw, h0 = aside ? dw : dh;
    const SDL_FRect to = {(float)(cx - w0 / 2), (float)(cy - h0 / 2), (float)w0, (float)h0};
    SDL_SetTextureScaleMode(f->texture, squares ? SDL_ScaleModeNearest : SDL_ScaleModeLinear);
    SDL_RenderSetClipRect(w->renderer, &area);
    SDL_RenderCopyExF(w->renderer, f->texture, &from, &to, turn, NULL,
                      mirrored ? SDL_FLIP_HORIZONTAL : SDL_FLIP_NONE);
    SDL_RenderSetClipRect(w->renderer, NULL);
}
