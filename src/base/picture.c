#include "serveplumb/picture.h"

#include <stdlib.h>

bool sp_picture_init(sp_picture *picture, int width, int height, sp_error *error) {
    *picture = (sp_picture){0};
    if (width < 1 || height < 1 || width > SP_PICTURE_SIDE_MAX || height > SP_PICTURE_SIDE_MAX)
        return sp_fail(error, SP_ERROR_LIMIT,
                       "a picture of %d x %d pixels is outside what can be drawn (1 to %d a side)",
                       width, height, SP_PICTURE_SIDE_MAX);
    const size_t stride = (size_t)width * 4;
    uint8_t *pixels = calloc((size_t)height, stride);
    if (pixels == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory for a picture of %d x %d pixels", width,
                       height);
    *picture = (sp_picture){.width = width, .height = height, .stride = stride, .pixels = pixels};
    return true;
}

void sp_picture_clear(sp_picture *picture) {
    if (picture == NULL) return;
    free(picture->pixels);
    *picture = (sp_picture){0};
}
