/* Separated text, row by row (RFC 4180), whatever separates it. */
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "review/speeds.h"

static bool at_line_end(const char *at, const char *end) {
    return at == end || *at == '\n' || *at == '\r';
}

/* The one that is there most often outside quotes; the comma when none is. */
static char separator_of(const char *at, const char *end) {
    static const char candidates[] = {',', ';', '\t'};
    int counts[3] = {0, 0, 0}, best = 0;
    bool quoted = false;
    for (; at < end && (quoted || !at_line_end(at, end)); at++) {
        if (*at == '"') quoted = !quoted;
        for (int i = 0; i < 3; i++) counts[i] += !quoted && *at == candidates[i];
    }
    for (int i = 1; i < 3; i++)
        if (counts[i] > counts[best]) best = i;
    return candidates[best];
}

static void skip_line_end(sp_table *t) {
    if (t->at < t->end && *t->at == '\r') t->at++;
    if (t->at < t->end && *t->at == '\n') t->at++;
    t->next_line++;
}

/* Some programs begin with the separator in a line of its own. */
static bool take_said_separator(sp_table *t) {
    if (t->end - t->at < 5 || strncasecmp(t->at, "sep=", 4) != 0 || !at_line_end(t->at + 5, t->end))
        return false;
    t->separator = t->at[4];
    t->at += 5;
    skip_line_end(t);
    return true;
}

bool sp_table_open(sp_table *t, const char *text, size_t length) {
    *t = (sp_table){.at = text, .end = text + length, .next_line = 1, .room = malloc(length + 2)};
    if (t->room == NULL) return false;
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) t->at += 3;
    while (t->at < t->end && at_line_end(t->at, t->end)) skip_line_end(t);
    if (!take_said_separator(t)) t->separator = separator_of(t->at, t->end);
    return true;
}

static char *trimmed(char *from, char *to) {
    while (from < to && (*from == ' ' || *from == '\t')) from++;
    while (to > from && (to[-1] == ' ' || to[-1] == '\t')) to--;
    *to = '\0';
    return from;
}

/* Quotes off, doubled ones halved. A zero byte ends no cell, and a line in it makes no two lines of
 * a message: control characters become spaces. */
static char *take_cell(sp_table *t, char *to) {
    char *from = to;
    bool quoted = false;
    for (; t->at < t->end; t->at++) {
        if (*t->at == '"') {
            const bool doubled = quoted && t->at + 1 < t->end && t->at[1] == '"';
            if (doubled)
                *to++ = *t->at++;
            else
                quoted = !quoted;
            continue;
        }
        if (!quoted && (*t->at == t->separator || at_line_end(t->at, t->end))) break;
        if (*t->at == '\n') t->next_line++;
        *to++ = (unsigned char)*t->at < 0x20 ? ' ' : *t->at;
    }
    t->open_quote = t->open_quote || quoted;
    if (t->count < SP_TABLE_CELLS_MAX)
        t->cells[t->count++] = trimmed(from, to);
    else
        t->too_many = true;
    return to + 1;
}

/* A quotation mark that swallows the rest is no empty row. */
static bool is_empty(const sp_table *t) {
    if (t->open_quote) return false;
    for (int i = 0; i < t->count; i++)
        if (t->cells[i][0] != '\0') return false;
    return true;
}

bool sp_table_next(sp_table *t) {
    while (t->at < t->end) {
        t->line = t->next_line;
        t->count = 0;
        t->too_many = t->open_quote = false;
        for (char *to = t->room;;) {
            to = take_cell(t, to);
            if (t->at == t->end || *t->at != t->separator) break;
            t->at++;
        }
        skip_line_end(t);
        if (!is_empty(t)) return true;
    }
    return false;
}

void sp_table_close(sp_table *t) {
    free(t->room);
    t->room = NULL;
}
