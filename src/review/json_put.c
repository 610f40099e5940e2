#include <math.h>
#include <string.h>

#include "review/json.h"

/* What was written last tells whether a comma is due. A text ends with its quote, so that one of
 * these at the end is never part of it. */
static void begin(sp_text *text, const char *member) {
    if (text->length > 0 && strchr("{[:,", text->bytes[text->length - 1]) == NULL)
        sp_text_append(text, ",");
    if (member == NULL) return;
    sp_json_string(text, NULL, member);
    sp_text_append(text, ":");
}

void sp_json_open(sp_text *text, const char *member, char bracket) {
    begin(text, member);
    sp_text_append_bytes(text, &bracket, 1);
}

void sp_json_close(sp_text *text, char bracket) { sp_text_append_bytes(text, &bracket, 1); }

static void put_character(sp_text *text, char c) {
    static const char escaped[] = "\"\\\b\f\n\r\t", letters[] = "\"\\bfnrt";
    const char *found = strchr(escaped, c);
    if (found != NULL) {
        const char pair[2] = {'\\', letters[found - escaped]};
        sp_text_append_bytes(text, pair, 2);
    } else if ((unsigned char)c < 0x20 || c == 0x7F) {
        sp_text_format(text, "\\u%04x", (unsigned)c);
    } else {
        sp_text_append_bytes(text, &c, 1);
    }
}

void sp_json_string(sp_text *text, const char *member, const char *value) {
    begin(text, member);
    sp_text_append(text, "\"");
    for (; *value != '\0'; value++) put_character(text, *value);
    sp_text_append(text, "\"");
}

void sp_json_raw(sp_text *text, const char *member, const char *value) {
    begin(text, member);
    sp_text_append(text, value);
}

void sp_json_number(sp_text *text, const char *member, double value) {
    char digits[SP_JSON_NUMBER_SIZE];
    sp_json_number_text(value, digits);
    sp_json_raw(text, member, digits);
}

void sp_json_number_or_null(sp_text *text, const char *member, double value) {
    if (isfinite(value))
        sp_json_number(text, member, value);
    else
        sp_json_raw(text, member, "null");
}

void sp_json_members(sp_text *text, const char *members) {
    if (members != NULL) sp_json_raw(text, NULL, members);
}

static void put_container(sp_text *text, const char *member, const cJSON *value) {
    const bool object = cJSON_IsObject(value);
    sp_json_open(text, member, object ? '{' : '[');
    for (const cJSON *item = value->child; item != NULL; item = item->next)
        sp_json_tree(text, object ? item->string : NULL, item);
    sp_json_close(text, object ? '}' : ']');
}

void sp_json_tree(sp_text *text, const char *member, const cJSON *value) {
    if (cJSON_IsObject(value) || cJSON_IsArray(value)) {
        put_container(text, member, value);
    } else if (cJSON_IsString(value)) {
        sp_json_string(text, member, value->valuestring);
    } else if (cJSON_IsNumber(value)) {
        sp_json_raw(text, member, value->valuestring);
    } else {
        sp_json_raw(text, member,
                    cJSON_IsTrue(value)    ? "true"
                    : cJSON_IsFalse(value) ? "false"
                                           : "null");
    }
}
