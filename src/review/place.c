#include "review/place.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "review/utf8.h"

#define NAME_SHOWN 48
#define FILE_SHOWN 160
#define WAY_SHOWN 200

typedef struct {
    char text[1200];
    size_t length;
} place_way;

static void append(place_way *way, const char *string) {
    const size_t room = sizeof way->text - way->length;
    const int count = snprintf(way->text + way->length, room, "%s", string);
    if (count > 0) way->length += (size_t)count < room ? (size_t)count : room - 1;
}

static bool is_word(const char *name) {
    for (const char *c = name; *c != '\0'; c++)
        if (!isalnum((unsigned char)*c) && *c != '_') return false;
    return *name != '\0';
}

static void append_member(place_way *way, const char *name) {
    char shown[NAME_SHOWN];
    sp_utf8_show(shown, sizeof shown, name);
    if (!is_word(name)) {
        append(way, "[\"");
        append(way, shown);
        append(way, "\"]");
        return;
    }
    if (way->length > 0) append(way, ".");
    append(way, shown);
}

static void append_way(place_way *way, const sp_place *at) {
    if (at->up == NULL || way->length > sizeof way->text / 2) return;
    append_way(way, at->up);
    if (at->name != NULL) {
        append_member(way, at->name);
        return;
    }
    char index[32];
    snprintf(index, sizeof index, "[%zu]", at->index);
    append(way, index);
}

static const char *file_of(const sp_place *at) {
    while (at->up != NULL) at = at->up;
    return at->name;
}

/* The end of a file's path tells more than its beginning. */
static const char *end_of(const char *file) {
    const size_t length = strlen(file);
    if (length < FILE_SHOWN) return file;
    const char *end = file + length - FILE_SHOWN + 1;
    while (((unsigned char)*end & 0xC0) == 0x80) end++;
    return end;
}

bool sp_fail_at(const sp_place *at, const char *member, sp_error *error, const char *format, ...) {
    if (error == NULL) return false;
    char what[320];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(what, sizeof what, format, arguments);
    va_end(arguments);
    place_way way = {.length = 0};
    append_way(&way, at);
    if (member != NULL) append_member(&way, member);
    char where[WAY_SHOWN], file[FILE_SHOWN];
    sp_utf8_show(where, sizeof where, way.text);
    sp_utf8_show(file, sizeof file, end_of(file_of(at)));
    return sp_fail(error, SP_ERROR_FORMAT, "%s%s%s%s%s", file, file[0] != '\0' ? ": " : "", where,
                   where[0] != '\0' ? ": " : "", what);
}
