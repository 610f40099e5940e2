/* A speed as people write it. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "review/speeds.h"

/* By hand: what strtod takes depends on the locale, and takes more than people write. */
bool sp_speed_number_read(const char *text, double *value, const char **rest) {
    double whole = 0, part = 0, place = 1;
    int digits = 0;
    for (; isdigit((unsigned char)*text); text++, digits++) whole = 10 * whole + (*text - '0');
    if ((*text == '.' || *text == ',') && isdigit((unsigned char)text[1]))
        for (text++; isdigit((unsigned char)*text); text++, digits++) {
            part = 10 * part + (*text - '0');
            place *= 10;
        }
    *value = whole + part / place;
    *rest = text;
    return digits > 0 && digits <= 15;
}

static void skip_spaces(const char **text) {
    /* A no-break space (U+00A0) too, which tables put between number and unit. */
    for (;;) {
        if (**text == ' ' || **text == '\t') {
            ++*text;
        } else if ((*text)[0] == '\302' && (*text)[1] == '\240') {
            *text += 2;
        } else {
            return;
        }
    }
}

bool sp_speed_cell_read(const char *text, double *value, sp_speed_unit *unit, char *why,
                        size_t size) {
    const char *rest = text;
    skip_spaces(&rest);
    if (*rest == '\0') {
        snprintf(why, size, "no speed; fill it in or take the row out");
        return false;
    }
    if (!sp_speed_number_read(rest, value, &rest)) {
        snprintf(why, size, "'%.40s' is no speed; expected a number", text);
        return false;
    }
    skip_spaces(&rest);
    char word[16];
    if (*rest == '\0') return true;
    const bool fits = sp_text_copy(word, sizeof word, rest);
    size_t length = strlen(word);
    while (length > 0 && word[length - 1] == ' ') word[--length] = '\0';
    if (fits && sp_speed_unit_find(word, unit)) return true;
    snprintf(why, size, "'%.40s': '%.20s' after the number is no unit; expected km/h, mph or m/s",
             text, rest);
    return false;
}
