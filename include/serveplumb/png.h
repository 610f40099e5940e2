/* A picture as the bytes of a PNG file. */
#ifndef SERVEPLUMB_PNG_H
#define SERVEPLUMB_PNG_H

#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"
#include "serveplumb/picture.h"

/* 8 bits a channel; without alpha when the whole picture is opaque. `bytes` is freed by the caller
 * and NULL on failure. */
bool sp_picture_encode_png(const sp_picture *picture, uint8_t **bytes, size_t *length,
                           sp_error *error);

#endif
