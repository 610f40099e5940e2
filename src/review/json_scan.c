#include <stdlib.h>
#include <string.h>

#include "review/json.h"
#include "review/list.h"
#include "review/utf8.h"

typedef struct scanner {
    char *text;
    size_t at, length, values;
    int depth;
    const char *name;
    sp_json_numbers *numbers;
    sp_error *error;
} scanner;

/* Every fault of the text itself names its line and its character there, both from 1. */
static bool fail(const scanner *scan, const char *what) {
    size_t line = 1, column = 1;
    for (size_t i = 0; i < scan->at; i++) {
        if (scan->text[i] == '\n') {
            line++;
            column = 1;
        } else if (((unsigned char)scan->text[i] & 0xC0) != 0x80) {
            column++;
        }
    }
    char shown[160];
    return sp_fail(scan->error, SP_ERROR_FORMAT, "%s: line %zu, column %zu: %s",
                   sp_utf8_show(shown, sizeof shown, scan->name), line, column, what);
}

static bool fail_limit(const scanner *scan, const char *what) {
    char shown[160];
    return sp_fail(scan->error, SP_ERROR_LIMIT, "%s: %s; is it the right file?",
                   sp_utf8_show(shown, sizeof shown, scan->name), what);
}

/* The text ends with a zero byte, so that one may always be looked at. */
static char here(const scanner *scan) { return scan->text[scan->at]; }

static void skip_blanks(scanner *scan) {
    while (here(scan) == ' ' || here(scan) == '\t' || here(scan) == '\n' || here(scan) == '\r')
        scan->at++;
}

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

static bool skip_digits(scanner *scan) {
    if (!is_digit(here(scan))) return fail(scan, "expected a digit");
    while (is_digit(here(scan))) scan->at++;
    return true;
}

static bool note_number(scanner *scan, size_t start) {
    sp_json_numbers *numbers = scan->numbers;
    uint32_t *offsets =
        sp_room_for(numbers->offsets, &numbers->room, numbers->count + 1, sizeof *offsets);
    if (offsets == NULL)
        return sp_fail(scan->error, SP_ERROR_MEMORY, "no memory to read the review");
    numbers->offsets = offsets;
    offsets[numbers->count++] = (uint32_t)start;
    scan->text[start] = '0';
    memset(scan->text + start + 1, ' ', scan->at - start - 1);
    return true;
}

static bool scan_number(scanner *scan) {
    const size_t start = scan->at;
    if (here(scan) == '-') scan->at++;
    if (here(scan) == '0') {
        scan->at++;
        if (is_digit(here(scan))) return fail(scan, "expected a number without a leading zero");
    } else if (!skip_digits(scan)) {
        return false;
    }
    if (here(scan) == '.') {
        scan->at++;
        if (!skip_digits(scan)) return false;
    }
    if (here(scan) == 'e' || here(scan) == 'E') {
        scan->at++;
        if (here(scan) == '+' || here(scan) == '-') scan->at++;
        if (!skip_digits(scan)) return false;
    }
    return note_number(scan, start);
}

/* Four hexadecimal digits after \u; -1 when they are not. */
static long escape_unit(scanner *scan) {
    char digits[5] = {0};
    for (int i = 0; i < 4; i++) {
        const char c = here(scan);
        if (!is_digit(c) && !(c >= 'a' && c <= 'f') && !(c >= 'A' && c <= 'F')) return -1;
        digits[i] = c;
        scan->at++;
    }
    return strtol(digits, NULL, 16);
}

static bool scan_unicode_escape(scanner *scan) {
    const long unit = escape_unit(scan);
    if (unit < 0) return fail(scan, "expected four hexadecimal digits after \\u");
    if (unit == 0) return fail(scan, "expected no zero character in a text");
    if (unit < 0xD800 || unit > 0xDFFF) return true;
    if (unit <= 0xDBFF && here(scan) == '\\' && scan->text[scan->at + 1] == 'u') {
        scan->at += 2;
        const long second = escape_unit(scan);
        if (second >= 0xDC00 && second <= 0xDFFF) return true;
    }
    return fail(scan, "expected the two halves of a surrogate pair together");
}

static bool scan_escape(scanner *scan) {
    scan->at++;
    const char c = here(scan);
    if (c == '\0' || strchr("\"\\/bfnrtu", c) == NULL)
        return fail(scan, "expected one of \" \\ / b f n r t u after a backslash");
    scan->at++;
    return c != 'u' || scan_unicode_escape(scan);
}

static bool scan_string(scanner *scan) {
    if (here(scan) != '"') return fail(scan, "expected a text in double quotes");
    scan->at++;
    while (here(scan) != '"') {
        if (here(scan) == '\\') {
            if (!scan_escape(scan)) return false;
            continue;
        }
        if (scan->at == scan->length) return fail(scan, "expected the closing quote of a text");
        if ((unsigned char)here(scan) < 0x20)
            return fail(scan, "expected no raw control character in a text; write it as \\u00..");
        const size_t bytes = sp_utf8_length(scan->text + scan->at, scan->length - scan->at);
        if (bytes == 0) return fail(scan, "expected valid UTF-8");
        scan->at += bytes;
    }
    scan->at++;
    return true;
}

static bool scan_word(scanner *scan, const char *word) {
    if (strncmp(scan->text + scan->at, word, strlen(word)) != 0)
        return fail(scan, "expected a JSON value");
    scan->at += strlen(word);
    return true;
}

static bool scan_value(scanner *scan);

static bool scan_member(scanner *scan) {
    skip_blanks(scan);
    if (!scan_string(scan)) return false;
    skip_blanks(scan);
    if (here(scan) != ':') return fail(scan, "expected a colon after the name of a member");
    scan->at++;
    return scan_value(scan);
}

/* An array or an object; `item` reads one of what it holds. */
static bool scan_items(scanner *scan, char close, bool (*item)(struct scanner *),
                       const char *missing) {
    if (++scan->depth > SP_JSON_DEPTH_MAX)
        return fail(scan, "expected no more than 64 levels of nesting");
    scan->at++;
    skip_blanks(scan);
    if (here(scan) != close) {
        for (;;) {
            if (!item(scan)) return false;
            skip_blanks(scan);
            if (here(scan) != ',') break;
            scan->at++;
        }
    }
    if (here(scan) != close) return fail(scan, missing);
    scan->at++;
    scan->depth--;
    return true;
}

static bool scan_value(scanner *scan) {
    skip_blanks(scan);
    if (++scan->values > SP_JSON_VALUES_MAX) return fail_limit(scan, "it holds too many values");
    switch (here(scan)) {
    case '{': return scan_items(scan, '}', scan_member, "expected a comma or } after a member");
    case '[': return scan_items(scan, ']', scan_value, "expected a comma or ] after a value");
    case '"': return scan_string(scan);
    case 't': return scan_word(scan, "true");
    case 'f': return scan_word(scan, "false");
    case 'n': return scan_word(scan, "null");
    default:
        if (here(scan) != '-' && !is_digit(here(scan))) return fail(scan, "expected a JSON value");
        return scan_number(scan);
    }
}

bool sp_json_scan(char *text, size_t length, const char *name, sp_json_numbers *numbers,
                  sp_error *error) {
    scanner scan = {
        .text = text, .length = length, .name = name, .numbers = numbers, .error = error};
    *numbers = (sp_json_numbers){0};
    if (length > SP_JSON_BYTES_MAX) return fail_limit(&scan, "it is larger than 64 MiB");
    if (!scan_value(&scan)) return false;
    skip_blanks(&scan);
    return scan.at == length || fail(&scan, "expected nothing after the end of the document");
}
