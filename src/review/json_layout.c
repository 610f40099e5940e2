#include <string.h>

#include "review/json.h"

#define LINE_WIDTH 100
#define INDENT 2
#define BYTES_MAX ((size_t)4) /* of a character */

typedef struct {
    sp_text *text;
    const char *next; /* of the compact text */
    size_t column;    /* characters on this line so far */
    size_t depth, values;
} json_layout;

static size_t characters(const char *bytes, size_t count) {
    size_t found = 0;
    for (size_t i = 0; i < count; i++)
        if (((unsigned char)bytes[i] & 0xC0) != 0x80) found++;
    return found;
}

static void put(json_layout *layout, const char *bytes, size_t count) {
    sp_text_append_bytes(layout->text, bytes, count);
    layout->column += characters(bytes, count);
}

static void break_line(json_layout *layout) {
    sp_text_append(layout->text, "\n");
    layout->column = 0;
    for (size_t i = 0; i < layout->depth * INDENT; i++) put(layout, " ", 1);
}

/* Length of the text, number or word at `from`; past `limit` it need not be right. */
static size_t token_length(const char *from, size_t limit) {
    size_t length = 1;
    if (*from != '"') {
        while (length < limit && strchr(",:]}", from[length]) == NULL) length++;
        return length;
    }
    while (length < limit && from[length] != '"') length += from[length] == '\\' ? 2 : 1;
    return length + 1;
}

/* The container at `next` ends within the line, with spaces put in and a comma after it. */
static bool fits(const json_layout *layout) {
    size_t column = layout->column, open = 0;
    for (const char *c = layout->next; column < LINE_WIDTH - 1;) {
        size_t length = 1, width = 1;
        if (*c == '[' || *c == '{') {
            open++;
        } else if (*c == ']' || *c == '}') {
            if (--open == 0) return true;
        } else if (*c == ',' || *c == ':') {
            width = 2;
        } else {
            length = token_length(c, BYTES_MAX * LINE_WIDTH);
            width = characters(c, length);
        }
        c += length;
        column += width;
    }
    return false;
}

static void lay_value(json_layout *layout, bool may_break);

static void lay_member_name(json_layout *layout) {
    const size_t length = token_length(layout->next, SIZE_MAX);
    put(layout, layout->next, length);
    put(layout, ": ", 2);
    layout->next += length + 1;
}

static void lay_items(json_layout *layout, bool object, bool broken) {
    for (;;) {
        if (broken) break_line(layout);
        if (object) lay_member_name(layout);
        lay_value(layout, broken);
        if (*layout->next != ',') return;
        layout->next++;
        put(layout, ", ", broken ? 1 : 2);
    }
}

/* `may_break`: false inside what was found to fit on its line. */
static void lay_value(json_layout *layout, bool may_break) {
    layout->values++;
    const char open = *layout->next;
    if (open != '{' && open != '[') {
        const size_t length = token_length(layout->next, SIZE_MAX);
        put(layout, layout->next, length);
        layout->next += length;
        return;
    }
    const bool broken = may_break && !fits(layout);
    put(layout, layout->next++, 1);
    if (*layout->next != ']' && *layout->next != '}') {
        layout->depth++;
        lay_items(layout, open == '{', broken);
        layout->depth--;
        if (broken) break_line(layout);
    }
    put(layout, layout->next++, 1);
}

void sp_json_layout(sp_text *text, const char *compact, size_t *values) {
    json_layout layout = {.text = text, .next = compact};
    lay_value(&layout, true);
    sp_text_append(text, "\n");
    *values = layout.values;
}

char *sp_json_detach_laid(sp_text *compact, const char *what, sp_error *error) {
    sp_text laid = {0};
    size_t values;
    if (!compact->failed) sp_json_layout(&laid, sp_text_get(compact), &values);
    const bool failed = compact->failed || laid.failed;
    sp_text_clear(compact);
    char *json = failed ? NULL : sp_text_detach(&laid);
    if (json == NULL) {
        sp_text_clear(&laid);
        sp_fail(error, SP_ERROR_MEMORY, "no memory left for %s", what);
    }
    return json;
}
