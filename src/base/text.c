#include "base/text.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool grow(sp_text *text, size_t more) {
    if (text->failed) return false;
    if (more < text->room - text->length) return true;
    if (more > SIZE_MAX / 4 || text->length > SIZE_MAX / 4) {
        text->failed = true;
        return false;
    }
    size_t room = text->room == 0 ? 64 : text->room;
    while (room - text->length <= more) room *= 2;
    char *bytes = realloc(text->bytes, room);
    if (bytes == NULL) {
        text->failed = true;
        return false;
    }
    text->bytes = bytes;
    text->room = room;
    return true;
}

void sp_text_append_bytes(sp_text *text, const char *bytes, size_t count) {
    if (!grow(text, count)) return;
    memcpy(text->bytes + text->length, bytes, count);
    text->length += count;
    text->bytes[text->length] = '\0';
}

void sp_text_append(sp_text *text, const char *string) {
    sp_text_append_bytes(text, string, strlen(string));
}

void sp_text_format(sp_text *text, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    va_list again;
    va_copy(again, arguments);
    const int count = vsnprintf(NULL, 0, format, arguments);
    va_end(arguments);
    if (count >= 0 && grow(text, (size_t)count)) {
        vsnprintf(text->bytes + text->length, (size_t)count + 1, format, again);
        text->length += (size_t)count;
    }
    va_end(again);
}

/* Length of the UTF-8 character at `s`, 0 when it is none (RFC 3629, section 4). */
static size_t utf8_length(const unsigned char *s) {
    if (s[0] < 0x80) return 1;
    const size_t length = s[0] >= 0xC2 && s[0] <= 0xDF   ? 2
                          : s[0] >= 0xE0 && s[0] <= 0xEF ? 3
                          : s[0] >= 0xF0 && s[0] <= 0xF4 ? 4
                                                         : 0;
    for (size_t i = 1; i < length; i++)
        if ((s[i] & 0xC0) != 0x80) return 0;
    const bool too_long = (s[0] == 0xE0 && s[1] < 0xA0) || (s[0] == 0xF0 && s[1] < 0x90);
    const bool surrogate = s[0] == 0xED && s[1] > 0x9F;
    const bool beyond = s[0] == 0xF4 && s[1] > 0x8F;
    return too_long || surrogate || beyond ? 0 : length;
}

void sp_text_append_json_string(sp_text *text, const char *string) {
    sp_text_append(text, "\"");
    for (const unsigned char *s = (const unsigned char *)string; *s != '\0';) {
        const size_t length = utf8_length(s);
        if (length == 0) {
            sp_text_append(text, "\xEF\xBF\xBD");
        } else if (*s == '"' || *s == '\\') {
            sp_text_format(text, "\\%c", *s);
        } else if (*s < 0x20) {
            sp_text_format(text, "\\u%04x", *s);
        } else {
            sp_text_append_bytes(text, (const char *)s, length);
        }
        s += length == 0 ? 1 : length;
    }
    sp_text_append(text, "\"");
}

const char *sp_text_get(const sp_text *text) { return text->bytes == NULL ? "" : text->bytes; }

char *sp_text_detach(sp_text *text) {
    if (!grow(text, 0)) {
        sp_text_clear(text);
        return NULL;
    }
    text->bytes[text->length] = '\0';
    char *bytes = text->bytes;
    *text = (sp_text){0};
    return bytes;
}

void sp_text_clear(sp_text *text) {
    free(text->bytes);
    *text = (sp_text){0};
}

bool sp_text_copy(char *to, size_t size, const char *from) {
    const size_t length = strlen(from);
    if (length < size) {
        memcpy(to, from, length + 1);
        return true;
    }
    size_t keep = size - 1;
    while (keep > 0 && ((unsigned char)from[keep] & 0xC0) == 0x80) keep--;
    memcpy(to, from, keep);
    to[keep] = '\0';
    return false;
}
