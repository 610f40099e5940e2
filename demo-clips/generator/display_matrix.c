#include "display_matrix.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

static bool read_u32(FILE *f, uint32_t *value) {
    uint8_t b[4];
    if (fread(b, 1, 4, f) != 4) return false;
    *value = (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3];
    return true;
}

static bool write_u32(FILE *f, uint32_t value) {
    const uint8_t b[4] = {(uint8_t)(value >> 24), (uint8_t)(value >> 16), (uint8_t)(value >> 8),
                          (uint8_t)value};
    return fwrite(b, 1, 4, f) == 4;
}

/* Goes to the payload of the first box of that type among those that begin here. A box with a
 * 64-bit size is none that is looked for. */
static bool enter_box(FILE *f, const char type[4]) {
    for (;;) {
        uint32_t size;
        char name[4];
        if (!read_u32(f, &size) || fread(name, 1, 4, f) != 4) return false;
        if (memcmp(name, type, 4) == 0) return true;
        uint64_t skip = size;
        if (size == 1) {
            uint32_t high, low;
            if (!read_u32(f, &high) || !read_u32(f, &low)) return false;
            skip = ((uint64_t)high << 32 | low) - 8;
        }
        if (skip < 8 || fseek(f, (long)(skip - 8), SEEK_CUR) != 0) return false;
    }
}

static bool write_matrix(FILE *f, int rotate, int width, int height) {
    const uint32_t one = 0x10000u, minus = 0xffff0000u;
    const uint32_t w = (uint32_t)width << 16, h = (uint32_t)height << 16;
    const uint32_t turns[3][9] = {
        {0, one, 0, minus, 0, 0, h, 0, 0x40000000u},
        {minus, 0, 0, 0, minus, 0, w, h, 0x40000000u},
        {0, minus, 0, one, 0, 0, 0, w, 0x40000000u},
    };
    for (int i = 0; i < 9; ++i) {
        if (!write_u32(f, turns[rotate / 90 - 1][i])) return false;
    }
    return true;
}

static bool set_in_file(FILE *f, int rotate, int width, int height) {
    if (!enter_box(f, "moov") || !enter_box(f, "trak") || !enter_box(f, "tkhd")) return false;
    uint32_t version_and_flags;
    if (!read_u32(f, &version_and_flags)) return false;
    /* Times, track number and length come before; 64-bit in version 1. */
    long before = version_and_flags >> 24 == 1 ? 48 : 36;
    return fseek(f, before, SEEK_CUR) == 0 && write_matrix(f, rotate, width, height);
}

bool display_matrix_set(const char *path, int rotate, int width, int height) {
    FILE *f = fopen(path, "r+b");
    bool done = f && set_in_file(f, rotate, width, height);
    if (f && fclose(f) != 0) done = false;
    if (!done) fprintf(stderr, "%s holds no track header to mark as turned.\n", path);
    return done;
}
