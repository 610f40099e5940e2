#include "window/small_picture.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "serveplumb/preferences.h"

#define HEAD_MOST 32

static size_t bytes_of(int width, int height) { return (size_t)width * (size_t)height * 3; }

void small_picture_write(const char *path, const sp_picture *picture) {
    char *bytes = malloc(HEAD_MOST + bytes_of(picture->width, picture->height));
    if (bytes == NULL) return;
    size_t at =
        (size_t)snprintf(bytes, HEAD_MOST, "P6 %d %d 255\n", picture->width, picture->height);
    for (int y = 0; y < picture->height; y++) {
        const uint32_t *row = (const void *)(picture->pixels + (size_t)y * picture->stride);
        for (int x = 0; x < picture->width; x++)
            for (int shift = 16; shift >= 0; shift -= 8)
                bytes[at++] = (char)(row[x] >> shift & 255);
    }
    if (sp_xdg_make_room(path, NULL)) sp_file_write(path, bytes, at, NULL);
    free(bytes);
}

static void fill(sp_picture *picture, const unsigned char *from) {
    for (int y = 0; y < picture->height; y++) {
        uint32_t *row = (void *)(picture->pixels + (size_t)y * picture->stride);
        for (int x = 0; x < picture->width; x++, from += 3)
            row[x] = 0xFF000000u | (uint32_t)from[0] << 16 | (uint32_t)from[1] << 8 | from[2];
    }
}

/* And the one blank behind it. */
static bool take_number(char **at, long most, int *number) {
    char *end;
    const long value = strtol(*at, &end, 10);
    if (end == *at || value < 1 || value > most || (*end != ' ' && *end != '\n')) return false;
    *number = (int)value;
    *at = end + 1;
    return true;
}

/* Only what small_picture_write writes is read. */
void small_picture_read(const char *path, sp_picture *picture) {
    char *bytes;
    size_t length;
    if (!sp_file_read(path, HEAD_MOST + bytes_of(SMALL_PICTURE_SIDE, SMALL_PICTURE_SIDE), &bytes,
                      &length, NULL))
        return;
    char *at = bytes + 3;
    int width, height, most;
    const bool good =
        strncmp(bytes, "P6 ", 3) == 0 && take_number(&at, SMALL_PICTURE_SIDE, &width) &&
        take_number(&at, SMALL_PICTURE_SIDE, &height) && take_number(&at, 255, &most) &&
        most == 255 && length == (size_t)(at - bytes) + bytes_of(width, height);
    if (good && sp_picture_init(picture, width, height, NULL))
        fill(picture, (const unsigned char *)at);
    free(bytes);
}
