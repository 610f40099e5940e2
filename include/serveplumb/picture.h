/* Pixels in memory: what decoding gives to drawing. */
#ifndef SERVEPLUMB_PICTURE_H
#define SERVEPLUMB_PICTURE_H

#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"

/* Rows from the top, 4 bytes a pixel: 32-bit native-endian 0xAARRGGBB, alpha premultiplied (the
 * layout that cairo and SDL share). `pixels` is owned by whoever called sp_picture_init. */
typedef struct {
    int width, height;
    size_t stride; /* bytes from one row to the next, a multiple of 4 */
    uint8_t *pixels;
} sp_picture;

/* A picture of transparent black. Both sides 1..SP_PICTURE_SIDE_MAX; SP_ERROR_LIMIT or _MEMORY
 * otherwise, and `picture` is then empty. Release with sp_picture_clear, which also accepts an
 * empty one. */
#define SP_PICTURE_SIDE_MAX 16384
bool sp_picture_init(sp_picture *picture, int width, int height, sp_error *error);
void sp_picture_clear(sp_picture *picture);

#endif
