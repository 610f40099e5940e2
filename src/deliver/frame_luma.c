#include "deliver/frame_luma.h"

#include <string.h>

/* Where the stored picture's first pixel comes to lie, and how far apart its neighbours along the
 * row and along the column do, in bytes of the upright picture. */
typedef struct {
    ptrdiff_t first, along, down;
} turned;

static turned turn_of(const sp_clip_facts *facts, int width, int height) {
    const ptrdiff_t w = width, h = height;
    turned t = {0, 1, w};
    switch (facts->rotation_deg) {
    case 90: t = (turned){h - 1, h, -1}; break;
    case 180: t = (turned){w * h - 1, -1, -w}; break;
    case 270: t = (turned){(w - 1) * h, -h, 1}; break;
    default: break;
    }
    if (facts->mirrored) {
        t.first += (w - 1) * t.along;
        t.along = -t.along;
    }
    return t;
}

static void copy_turned(const sp_frame_planes *planes, const sp_clip_facts *facts, uint8_t *luma) {
    const turned t = turn_of(facts, planes->width, planes->height);
    for (int y = 0; y < planes->height; y++) {
        const uint8_t *row = planes->data[0] + (ptrdiff_t)y * planes->stride[0];
        uint8_t *to = luma + t.first + y * t.down;
        if (t.along == 1) {
            memcpy(to, row, (size_t)planes->width);
        } else {
            for (int x = 0; x < planes->width; x++) to[x * t.along] = row[x];
        }
    }
}

static bool fits(const sp_frame_planes *planes, const sp_clip_facts *facts) {
    const bool upright = facts->rotation_deg % 180 == 0;
    return planes->width == (upright ? facts->width : facts->height) &&
           planes->height == (upright ? facts->height : facts->width);
}

/* ITU-R BT.709 weights of red, green and blue, in 256ths. */
static void luma_of_picture(const sp_picture *picture, uint8_t *luma) {
    for (int y = 0; y < picture->height; y++) {
        const uint8_t *row = picture->pixels + (size_t)y * picture->stride;
        for (int x = 0; x < picture->width; x++) {
            uint32_t pixel;
            memcpy(&pixel, row + 4 * (size_t)x, sizeof pixel);
            *luma++ = (uint8_t)((54 * (pixel >> 16 & 255) + 183 * (pixel >> 8 & 255) +
                                 19 * (pixel & 255)) >>
                                8);
        }
    }
}

static bool read_picture(const sp_frame *frame, const sp_clip_facts *facts, uint8_t *luma,
                         sp_error *error) {
    sp_picture picture = {0};
    const bool good = sp_picture_init(&picture, facts->width, facts->height, error) &&
                      sp_frame_to_picture(frame, &picture, error);
    if (good) luma_of_picture(&picture, luma);
    sp_picture_clear(&picture);
    return good;
}

bool sp_frame_luma_read(sp_clip *clip, int n, uint8_t *luma, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    sp_frame *frame = sp_clip_frame(clip, n, error);
    if (frame == NULL) return false;
    sp_frame_planes planes;
    bool good = true;
    if (sp_frame_get_planes(frame, &planes) && fits(&planes, facts)) {
        copy_turned(&planes, facts, luma);
    } else {
        good = read_picture(frame, facts, luma, error);
    }
    sp_frame_unref(frame);
    return good;
}
