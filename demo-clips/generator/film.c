#include "film.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "noise.h"
#include "paint.h"

enum { SUBFRAMES_MAX = 16 };

struct film {
    const options *options;
    const serve *serve;
    cairo_surface_t *background, *work;
    uint32_t *sum[3];    /* of squared values: light is about the square of what is stored */
    uint8_t root[65026]; /* back from the mean square */
    sight sights[SUBFRAMES_MAX];
    uint8_t *stored;
    noise *noise;
};

typedef struct {
    int left, top, right, bottom; /* right and bottom are outside */
} box;

static cairo_surface_t *blank(const camera *c) {
    return cairo_image_surface_create(CAIRO_FORMAT_RGB24, c->width, c->height);
}

static bool film_prepare(film *f, const tape *marks) {
    const camera *c = &f->options->camera;
    size_t pixels = (size_t)c->width * (size_t)c->height;
    f->background = blank(c);
    f->work = blank(c);
    f->stored = malloc(pixels * 4);
    f->noise = noise_new(f->options->noise);
    for (int i = 0; i < 3; ++i) f->sum[i] = malloc(pixels * sizeof *f->sum[i]);
    bool got = f->stored && f->noise && f->sum[0] && f->sum[1] && f->sum[2];
    if (!got || cairo_surface_status(f->work) != CAIRO_STATUS_SUCCESS) return false;
    for (int i = 0; i <= 65025; ++i) f->root[i] = (uint8_t)lround(sqrt(i));
    cairo_t *cr = cairo_create(f->background);
    scene_paint(cr, c, marks);
    cairo_destroy(cr);
    cairo_surface_flush(f->background);
    return true;
}

film *film_open(const options *o, const serve *s, const tape *marks) {
    film *f = calloc(1, sizeof *f);
    if (f) {
        f->options = o;
        f->serve = s;
        if (film_prepare(f, marks)) return f;
    }
    fputs("No memory for pictures of this size: choose a smaller --size.\n", stderr);
    film_close(f);
    return NULL;
}

void film_close(film *f) {
    if (!f) return;
    if (f->background) cairo_surface_destroy(f->background);
    if (f->work) cairo_surface_destroy(f->work);
    for (int i = 0; i < 3; ++i) free(f->sum[i]);
    free(f->stored);
    noise_free(f->noise);
    free(f);
}

static box clamp_box(const extent *e, const camera *c) {
    box b = {(int)fmax(floor(e->left), 0.0), (int)fmax(floor(e->top), 0.0),
             (int)fmin(ceil(e->right), c->width), (int)fmin(ceil(e->bottom), c->height)};
    if (b.right < b.left) b.right = b.left;
    if (b.bottom < b.top) b.bottom = b.top;
    return b;
}

static void copy_background(film *f, box b) {
    size_t stride = (size_t)cairo_image_surface_get_stride(f->work);
    const uint8_t *from = cairo_image_surface_get_data(f->background);
    uint8_t *to = cairo_image_surface_get_data(f->work);
    for (int y = b.top; y < b.bottom; ++y) {
        size_t at = (size_t)y * stride + 4 * (size_t)b.left;
        memcpy(to + at, from + at, 4 * (size_t)(b.right - b.left));
    }
    cairo_surface_mark_dirty(f->work);
}

static void draw_instant(film *f, const sight *s, box b) {
    copy_background(f, b);
    cairo_t *cr = cairo_create(f->work);
    cairo_rectangle(cr, b.left, b.top, b.right - b.left, b.bottom - b.top);
    cairo_clip(cr);
    paint_shadow(cr, s, &f->options->camera);
    paint_figure(cr, s, &f->options->camera);
    cairo_destroy(cr);
    cairo_surface_flush(f->work);
}

static void add_instant(film *f, box b, bool first) {
    size_t stride = (size_t)cairo_image_surface_get_stride(f->work),
           width = (size_t)(b.right - b.left);
    const uint8_t *data = cairo_image_surface_get_data(f->work);
    for (int y = b.top; y < b.bottom; ++y) {
        const uint8_t *row = data + (size_t)y * stride + 4 * (size_t)b.left;
        size_t at = (size_t)(y - b.top) * width;
        for (int k = 0; k < 3; ++k) {
            uint32_t *sum = f->sum[k] + at;
            for (size_t x = 0; x < width; ++x) {
                uint32_t v = row[4 * x + (size_t)k];
                sum[x] = first ? v * v : sum[x] + v * v;
            }
        }
    }
}

static void put_mean(film *f, box b, uint32_t count) {
    size_t stride = (size_t)cairo_image_surface_get_stride(f->work),
           width = (size_t)(b.right - b.left);
    uint8_t *data = cairo_image_surface_get_data(f->work);
    for (int y = b.top; y < b.bottom; ++y) {
        uint8_t *row = data + (size_t)y * stride + 4 * (size_t)b.left;
        size_t at = (size_t)(y - b.top) * width;
        for (size_t x = 0; x < width; ++x) {
            for (size_t k = 0; k < 3; ++k) row[4 * x + k] = f->root[f->sum[k][at + x] / count];
        }
    }
    cairo_surface_mark_dirty(f->work);
}

/* One drawing for about every two pixels that the fastest point moves while exposed. */
static int subframes_for(film *f, double time) {
    double exposure = f->options->exposure;
    if (exposure <= 0.0) return 1;
    const sight *a = &f->sights[0], *b = &f->sights[1];
    sight_take(f->serve, &f->options->camera, time - 0.5 * exposure, &f->sights[0]);
    sight_take(f->serve, &f->options->camera, time + 0.5 * exposure, &f->sights[1]);
    double most = 0.0;
    for (size_t i = 0; i < a->figure.disc_count; ++i) {
        most = fmax(most, hypot(a->blots[i].x - b->blots[i].x, a->blots[i].y - b->blots[i].y));
    }
    return (int)fmin(fmax(ceil(0.5 * most), 1.0), SUBFRAMES_MAX);
}

static void take_frame(film *f, double time) {
    const camera *c = &f->options->camera;
    int count = subframes_for(f, time);
    extent all = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int i = 0; i < count; ++i) {
        double share = (i + 0.5) / count - 0.5;
        sight_take(f->serve, c, time + share * f->options->exposure, &f->sights[i]);
        sight_extent(&f->sights[i], c, &all);
    }
    copy_background(f, (box){0, 0, c->width, c->height});
    box b = clamp_box(&all, c);
    for (int i = 0; i < count; ++i) {
        draw_instant(f, &f->sights[i], b);
        if (count > 1) add_instant(f, b, i == 0);
    }
    if (count > 1) put_mean(f, b, (uint32_t)count);
}

/* Where pixel (x, y) of the upright picture of size w x h is stored, so that turning the stored
 * picture clockwise by `rotate` shows it upright. */
static size_t stored_at(int x, int y, int w, int h, int rotate) {
    switch (rotate) {
    case 90: return (size_t)(w - 1 - x) * (size_t)h + (size_t)y;
    case 180: return (size_t)(h - 1 - y) * (size_t)w + (size_t)(w - 1 - x);
    case 270: return (size_t)x * (size_t)h + (size_t)(h - 1 - y);
    default: return (size_t)y * (size_t)w + (size_t)x;
    }
}

static void store(film *f) {
    const camera *c = &f->options->camera;
    const uint8_t *data = cairo_image_surface_get_data(f->work);
    size_t stride = (size_t)cairo_image_surface_get_stride(f->work);
    for (int y = 0; y < c->height; ++y) {
        const uint8_t *row = data + (size_t)y * stride;
        if (f->options->rotate == 0) {
            memcpy(f->stored + (size_t)y * (size_t)c->width * 4, row, (size_t)c->width * 4);
            continue;
        }
        for (int x = 0; x < c->width; ++x) {
            size_t to = stored_at(x, y, c->width, c->height, f->options->rotate);
            memcpy(f->stored + 4 * to, row + 4 * (size_t)x, 4);
        }
    }
}

const uint8_t *film_frame(film *f, double time) {
    const camera *c = &f->options->camera;
    take_frame(f, time);
    noise_add(f->noise, cairo_image_surface_get_data(f->work),
              (size_t)cairo_image_surface_get_stride(f->work), c->width, c->height);
    store(f);
    return f->stored;
}

int film_width(const film *f) {
    return f->options->rotate % 180 ? f->options->camera.height : f->options->camera.width;
}
int film_height(const film *f) {
    return f->options->rotate % 180 ? f->options->camera.width : f->options->camera.height;
}

bool film_save(const film *f, const char *path) {
    if (cairo_surface_write_to_png(f->work, path) == CAIRO_STATUS_SUCCESS) return true;
    fprintf(stderr, "%s cannot be written: check that its folder exists and is yours.\n", path);
    return false;
}
