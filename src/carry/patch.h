/* A part of a frame as numbers, with smaller copies of itself, and what is read out of it between
 * its pixels. */
#ifndef SP_CARRY_PATCH_H
#define SP_CARRY_PATCH_H

#include "carry/backdrop.h"

#define CARRY_LEVELS_MAX 5
#define CARRY_RADIUS_MAX 20
#define CARRY_SIDE_MAX (2 * CARRY_RADIUS_MAX + 1)
#define CARRY_AREA_MAX (CARRY_SIDE_MAX * CARRY_SIDE_MAX)

/* How the numbers are made: luma, and where a backdrop is given, what stands still is replaced by
 * one grey, so that the point carries no background along. */
typedef struct {
    const carry_backdrop *backdrop; /* NULL: luma as it is */
    float grey;
} carry_look;

typedef struct {
    int width, height;
    double x0, y0; /* outer corner of the first pixel, in pixels of this level */
    float *values;
} carry_plane;

/* Each level halves the one before it by the mean of 2 x 2 pixels: with pixel centres at +0.5 a
 * place x lies at x / 2 on the next level, exactly. */
typedef struct {
    int levels;
    carry_plane planes[CARRY_LEVELS_MAX];
    float *room;
    size_t room_size;
} carry_patch;

/* The surroundings of `at`, wide enough for windows of `radius` on `levels` levels; pixels beyond
 * the picture repeat its edge. Reuses the patch's memory. */
bool carry_patch_cut(carry_patch *patch, const sp_carry_clip *clip, const uint8_t *luma,
                     const carry_look *look, sp_point at, int radius, int levels, sp_error *error);
void carry_patch_clear(carry_patch *patch);

/* Reads (2 radius + 1)^2 values about `at` (pixels of that level), bilinear. */
void carry_plane_window(const carry_plane *plane, sp_point at, int radius, float *values);
/* The same where the window is turned and sheared: value (i, j) is read at `at` + m (i, j). */
void carry_plane_warped(const carry_plane *plane, sp_point at, const double m[4], int radius,
                        float *values);
/* What moves against the backdrop within `radius` of `at`: its share of the area, and its luma. */
typedef struct {
    double share, luma;
} carry_moving;
carry_moving carry_backdrop_moving(const carry_backdrop *backdrop, const uint8_t *luma, sp_point at,
                                   int radius);

#endif
