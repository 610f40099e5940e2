#include "deliver/html.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* Length of the UTF-8 character at `s`, 0 when it is none (RFC 3629, section 4). */
static size_t length_of(const unsigned char *s) {
    const size_t length = s[0] < 0x80                    ? 1
                          : s[0] >= 0xC2 && s[0] <= 0xDF ? 2
                          : s[0] >= 0xE0 && s[0] <= 0xEF ? 3
                          : s[0] >= 0xF0 && s[0] <= 0xF4 ? 4
                                                         : 0;
    for (size_t i = 1; i < length; i++)
        if ((s[i] & 0xC0) != 0x80) return 0;
    if ((s[0] == 0xE0 && s[1] < 0xA0) || (s[0] == 0xF0 && s[1] < 0x90)) return 0;
    if ((s[0] == 0xED && s[1] > 0x9F) || (s[0] == 0xF4 && s[1] > 0x8F)) return 0;
    return length;
}

/* The number of a character of three bytes (RFC 3629). */
static int of_three(const unsigned char *s) {
    return (s[0] & 0x0F) << 12 | (s[1] & 0x3F) << 6 | (s[2] & 0x3F);
}

/* U+0000..1F but tab and line feed, U+7F..9F, U+200E, U+200F, U+061C, U+202A..202E, U+2066..2069.
 */
static bool is_left_out(const unsigned char *s, size_t length) {
    if (length == 1) return (s[0] < 0x20 && s[0] != '\n' && s[0] != '\t') || s[0] == 0x7F;
    if (length == 2) return (s[0] == 0xC2 && s[1] < 0xA0) || (s[0] == 0xD8 && s[1] == 0x9C);
    const int number = length == 3 ? of_three(s) : 0;
    return number == 0x200E || number == 0x200F || (number >= 0x202A && number <= 0x202E) ||
           (number >= 0x2066 && number <= 0x2069);
}

static const char *escape_of(unsigned char c) {
    switch (c) {
    case '&': return "&amp;";
    case '<': return "&lt;";
    case '>': return "&gt;";
    case '"': return "&quot;";
    case '\'': return "&#39;";
    default: return NULL;
    }
}

void sp_html_text(sp_text *html, const char *text) {
    for (const unsigned char *s = (const unsigned char *)text; *s != '\0';) {
        const size_t length = length_of(s);
        const char *escape = escape_of(*s);
        if (length == 0) {
            sp_text_append(html, "\xEF\xBF\xBD");
        } else if (escape != NULL) {
            sp_text_append(html, escape);
        } else if (!is_left_out(s, length)) {
            sp_text_append_bytes(html, (const char *)s, length);
        }
        s += length == 0 ? 1 : length;
    }
}

void sp_html_stranger(sp_text *html, const char *text) {
    sp_text_append(html, "<bdi>");
    sp_html_text(html, text);
    sp_text_append(html, "</bdi>");
}

void sp_html_base64(sp_text *html, const uint8_t *bytes, size_t length) {
    static const char letters[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < length; i += 3) {
        const size_t left = length - i;
        const uint32_t three = (uint32_t)bytes[i] << 16 |
                               (left > 1 ? (uint32_t)bytes[i + 1] << 8 : 0) |
                               (left > 2 ? (uint32_t)bytes[i + 2] : 0);
        const char four[4] = {letters[three >> 18], letters[three >> 12 & 63],
                              left > 1 ? letters[three >> 6 & 63] : '=',
                              left > 2 ? letters[three & 63] : '='};
        sp_text_append_bytes(html, four, 4);
    }
}

/* RFC 3986: what is not unreserved is written as %XX, so that a name stays one name. */
void sp_html_address(sp_text *html, const char *name) {
    for (const unsigned char *c = (const unsigned char *)name; *c != '\0'; c++) {
        const bool plain = (*c >= '0' && *c <= '9') || (*c >= 'A' && *c <= 'Z') ||
                           (*c >= 'a' && *c <= 'z') || *c == '-' || *c == '.' || *c == '_';
        sp_text_format(html, plain ? "%c" : "%%%02X", *c);
    }
}
