#include "carry/patch.h"

#include <math.h>
#include <stdlib.h>

static int inside(int x, int size) { return x < 0 ? 0 : x >= size ? size - 1 : x; }

/* One row of luma, with still pixels turned to grey. */
static void look_at_row(const carry_look *look, const uint8_t *restrict luma,
                        const uint8_t *restrict median, const uint8_t *restrict soft, int count,
                        float *restrict values) {
    const float grey = look->grey;
    for (int x = 0; x < count; x++) {
        const float value = (float)luma[x], off = value - (float)median[x], half = (float)soft[x];
        const float moves = off * off / (off * off + half * half);
        values[x] = grey + moves * (value - grey);
    }
}

static void plain_row(const uint8_t *restrict luma, int count, float *restrict values) {
    for (int x = 0; x < count; x++) values[x] = (float)luma[x];
}

/* Columns left .. left + width - 1 of picture row y. */
static void fill_row(const sp_carry_clip *clip, const uint8_t *luma, const carry_look *look,
                     int left, int y, int width, float *values) {
    const size_t row = (size_t)inside(y, clip->height) * (size_t)clip->width;
    const int first = inside(left, clip->width), last = inside(left + width - 1, clip->width);
    float *begin = values + (first - left < 0       ? 0
                             : first - left < width ? first - left
                                                    : width - 1);
    const int count = last - first + 1;
    const size_t at = row + (size_t)first;
    if (look->backdrop != NULL) {
        look_at_row(look, luma + at, look->backdrop->median + at, look->backdrop->soft + at, count,
                    begin);
    } else {
        plain_row(luma + at, count, begin);
    }
    for (float *v = begin - 1; v >= values; v--) *v = *begin;
    for (float *v = begin + count; v < values + width; v++) *v = begin[count - 1];
}

static void halve(const carry_plane *from, carry_plane *to) {
    for (int y = 0; y < to->height; y++) {
        const float *restrict one = from->values + 2 * (size_t)y * (size_t)from->width;
        const float *restrict two = one + from->width;
        float *restrict into = to->values + (size_t)y * (size_t)to->width;
        for (size_t x = 0; x < (size_t)to->width; x++)
            into[x] = 0.25f * (one[2 * x] + one[2 * x + 1] + two[2 * x] + two[2 * x + 1]);
    }
}

static bool make_room(carry_patch *patch, size_t values, sp_error *error) {
    if (patch->room_size >= values) return true;
    float *room = realloc(patch->room, values * sizeof *room);
    if (room == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
    patch->room = room;
    patch->room_size = values;
    return true;
}

bool carry_patch_cut(carry_patch *patch, const sp_carry_clip *clip, const uint8_t *luma,
                     const carry_look *look, sp_point at, int radius, int levels, sp_error *error) {
    const int grain = 1 << (levels - 1);
    /* Wide enough for a window that has moved by its own radius on the smallest level. */
    const int half = (2 * radius + 3) * grain, side = 2 * half;
    const int left = ((int)floor(at.x) - half) / grain * grain;
    const int top = ((int)floor(at.y) - half) / grain * grain;
    if (!make_room(patch, (size_t)side * (size_t)side * 3 / 2, error)) return false;
    patch->levels = levels;
    float *room = patch->room;
    for (int level = 0; level < levels; level++) {
        carry_plane *plane = &patch->planes[level];
        *plane = (carry_plane){side >> level, side >> level, left / (double)(1 << level),
                               top / (double)(1 << level), room};
        room += (size_t)plane->width * (size_t)plane->height;
        if (level > 0) halve(&patch->planes[level - 1], plane);
        for (int y = 0; level == 0 && y < side; y++)
            fill_row(clip, luma, look, left, top + y, side,
                     plane->values + (size_t)y * (size_t)side);
    }
    return true;
}

void carry_patch_clear(carry_patch *patch) {
    free(patch->room);
    *patch = (carry_patch){0};
}

void carry_plane_window(const carry_plane *plane, sp_point at, int radius, float *values) {
    const int side = 2 * radius + 1;
    const double x = at.x - plane->x0 - 0.5 - radius, y = at.y - plane->y0 - 0.5 - radius;
    const double held_x = fmin(fmax(x, 0.0), plane->width - side - 1.001);
    const double held_y = fmin(fmax(y, 0.0), plane->height - side - 1.001);
    const int left = (int)held_x, top = (int)held_y;
    const float fx = (float)(held_x - left), fy = (float)(held_y - top);
    const float a = (1 - fx) * (1 - fy), b = fx * (1 - fy), c = (1 - fx) * fy, d = fx * fy;
    for (int j = 0; j < side; j++) {
        const float *restrict one =
            plane->values + (size_t)(top + j) * (size_t)plane->width + (size_t)left;
        const float *restrict two = one + plane->width;
        float *restrict into = values + (size_t)j * (size_t)side;
        for (int i = 0; i < side; i++)
            into[i] = a * one[i] + b * one[i + 1] + c * two[i] + d * two[i + 1];
    }
}

static float between(const carry_plane *plane, double x, double y) {
    x = fmin(fmax(x, 0.0), plane->width - 1.001);
    y = fmin(fmax(y, 0.0), plane->height - 1.001);
    const int left = (int)x, top = (int)y;
    const float fx = (float)(x - left), fy = (float)(y - top);
    const float *v = plane->values + (size_t)top * (size_t)plane->width + (size_t)left;
    const float up = v[0] + fx * (v[1] - v[0]);
    const float down = v[plane->width] + fx * (v[plane->width + 1] - v[plane->width]);
    return up + fy * (down - up);
}

void carry_plane_warped(const carry_plane *plane, sp_point at, const double m[4], int radius,
                        float *values) {
    for (int j = -radius; j <= radius; j++)
        for (int i = -radius; i <= radius; i++)
            *values++ = between(plane, at.x - plane->x0 - 0.5 + m[0] * i + m[1] * j,
                                at.y - plane->y0 - 0.5 + m[2] * i + m[3] * j);
}

carry_moving carry_backdrop_moving(const carry_backdrop *b, const uint8_t *luma, sp_point at,
                                   int radius) {
    double sum = 0, bright = 0;
    int count = 0;
    for (int j = -radius; j <= radius; j++)
        for (int i = -radius; i <= radius; i++) {
            if (i * i + j * j > radius * radius) continue;
            const size_t row = (size_t)inside((int)floor(at.y) + j, b->height);
            const size_t place =
                row * (size_t)b->width + (size_t)inside((int)floor(at.x) + i, b->width);
            const double off = luma[place] - b->median[place], half = b->soft[place];
            const double moves = off * off / (off * off + half * half);
            sum += moves;
            bright += moves * luma[place];
            count++;
        }
    return (carry_moving){sum / count, bright / fmax(sum, 1e-9)};
}
