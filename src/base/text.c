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
