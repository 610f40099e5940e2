#include "serveplumb/png.h"

#include <string.h>

#include <cairo.h>

#include "base/text.h"

static bool is_opaque(const sp_picture *picture) {
    for (int y = 0; y < picture->height; y++) {
        const uint8_t *row = picture->pixels + (size_t)y * picture->stride;
        for (int x = 0; x < picture->width; x++) {
            uint32_t pixel;
            memcpy(&pixel, row + (size_t)x * 4, sizeof pixel);
            if (pixel >> 24 != 0xFF) return false;
        }
    }
    return true;
}

static cairo_status_t append(void *closure, const unsigned char *data, unsigned int length) {
    sp_text *bytes = closure;
    sp_text_append_bytes(bytes, (const char *)data, length);
    return bytes->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

bool sp_picture_encode_png(const sp_picture *picture, uint8_t **bytes, size_t *length,
                           sp_error *error) {
    *bytes = NULL;
    *length = 0;
    const cairo_format_t format = is_opaque(picture) ? CAIRO_FORMAT_RGB24 : CAIRO_FORMAT_ARGB32;
    cairo_surface_t *surface = cairo_image_surface_create_for_data(
        picture->pixels, format, picture->width, picture->height, (int)picture->stride);
    sp_text png = {0};
    const cairo_status_t status = cairo_surface_write_to_png_stream(surface, append, &png);
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS) {
        sp_text_clear(&png);
        return sp_fail(error, SP_ERROR_MEMORY, "cannot make a PNG of %d x %d pixels: %s",
                       picture->width, picture->height, cairo_status_to_string(status));
    }
    *length = png.length;
    *bytes = (uint8_t *)sp_text_detach(&png);
    return true;
}
