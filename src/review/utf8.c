#include "review/utf8.h"

#include <stdint.h>
#include <string.h>

/* The character at `bytes`; `length` 0 when it is not valid UTF-8. */
static uint32_t decode(const char *bytes, size_t left, size_t *length) {
    const unsigned char *byte = (const unsigned char *)bytes;
    *length = 0;
    if (left == 0) return 0;
    if (byte[0] < 0x80) {
        *length = 1;
        return byte[0];
    }
    const size_t more = byte[0] >= 0xF0 ? 3 : byte[0] >= 0xE0 ? 2 : 1;
    static const uint32_t least[] = {0, 0x80, 0x800, 0x10000};
    if (byte[0] < 0xC2 || byte[0] > 0xF4 || left <= more) return 0;
    uint32_t value = byte[0] & (0x3Fu >> more);
    for (size_t i = 1; i <= more; i++) {
        if ((byte[i] & 0xC0) != 0x80) return 0;
        value = value << 6 | (byte[i] & 0x3F);
    }
    if (value < least[more] || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF)) return 0;
    *length = more + 1;
    return value;
}

size_t sp_utf8_length(const char *bytes, size_t left) {
    size_t length;
    decode(bytes, left, &length);
    return length;
}

static bool is_control(uint32_t value) {
    return value < 0x20 || (value >= 0x7F && value <= 0x9F) || value == 0x2028 || value == 0x2029;
}

/* Overrides and isolates of the bidirectional algorithm (Unicode UAX 9). */
static bool turns_direction(uint32_t value) {
    return (value >= 0x202A && value <= 0x202E) || (value >= 0x2066 && value <= 0x2069);
}

bool sp_utf8_is_plain(const char *string, bool lines) {
    size_t left = strlen(string);
    while (left > 0) {
        size_t length;
        const uint32_t value = decode(string, left, &length);
        if (length == 0) return false;
        const bool layout = value == '\n' || value == '\r' || value == '\t';
        if (is_control(value) && !(lines && layout)) return false;
        string += length;
        left -= length;
    }
    return true;
}

const char *sp_utf8_show(char *to, size_t size, const char *from) {
    size_t left = strlen(from), at = 0;
    while (left > 0) {
        size_t length;
        const uint32_t value = decode(from, left, &length);
        const bool shown = length > 0 && !is_control(value) && !turns_direction(value);
        const size_t taken = length > 0 ? length : 1, put = shown ? length : 1;
        /* Room for the dots and the end, unless all that is left fits. */
        if (left >= size - at && at + put + 4 > size) {
            memcpy(to + at, "...", 3);
            at += 3;
            break;
        }
        memcpy(to + at, shown ? from : "?", put);
        at += put;
        from += taken;
        left -= taken;
    }
    to[at] = '\0';
    return to;
}
