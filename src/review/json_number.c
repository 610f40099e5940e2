#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "review/json.h"

/* The locale's decimal point may be anything, of any length; JSON's is a point. */
static void point_for_locale(char *text) {
    char *to = text;
    for (const char *from = text; *from != '\0'; from++) {
        if (strchr("0123456789+-e", *from) != NULL) {
            *to++ = *from;
        } else if (to == text || to[-1] != '.') {
            *to++ = '.';
        }
    }
    *to = '\0';
}

void sp_json_number_text(double value, char text[SP_JSON_NUMBER_SIZE]) {
    assert(isfinite(value));
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(text, SP_JSON_NUMBER_SIZE, "%.*g", digits, value);
        if (strtod(text, NULL) == value) break;
    }
    point_for_locale(text);
}
