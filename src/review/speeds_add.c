/* A speed entered by hand, into a table that may be anyone's. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "base/text.h"
#include "review/speeds.h"

static const size_t BYTES_MAX = (size_t)16 << 20;

static const char *take_word(const char *words, char *word, size_t size) {
    words += strspn(words, " ");
    const size_t length = strcspn(words, " "), kept = length < size ? length : size - 1;
    memcpy(word, words, kept);
    word[kept] = '\0';
    return words + length;
}

static bool read_date(const char *word, sp_date_order dates, sp_speed *speed, sp_error *error) {
    sp_date_order order;
    bool ambiguous;
    const sp_date_kind kind = sp_speed_date_read(word, dates, speed->date, &order, &ambiguous);
    if (kind != SP_DATE_GOOD)
        return sp_fail(error, SP_ERROR_ARGUMENT, "'%s' is no day; write it as 2027-03-14", word);
    if (ambiguous && dates == SP_DATES_NOT_SAID)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%s' may be day and month or month and day; write it as 2027-03-14", word);
    return true;
}

bool sp_speed_read(const char *words, sp_date_order dates, sp_speed *speed, sp_error *error) {
    char date[40], number[40], both[96], unit[24], why[220];
    *speed = (sp_speed){.unit = SP_SPEED_NO_UNIT};
    const char *rest = take_word(words, date, sizeof date);
    rest = take_word(rest, number, sizeof number);
    double value;
    if (date[0] == '\0' || number[0] == '\0')
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%s': expected a day, a speed and its unit: \"2027-03-14 112 km/h radar\"",
                       words);
    if (!read_date(date, dates, speed, error)) return false;
    if (!sp_speed_cell_read(number, &value, &speed->unit, why, sizeof why))
        return sp_fail(error, SP_ERROR_ARGUMENT, "%s", why);
    if (speed->unit == SP_SPEED_NO_UNIT) {
        rest = take_word(rest, unit, sizeof unit);
        snprintf(both, sizeof both, "%s %s", number, unit);
        if (!sp_speed_unit_find(unit, &speed->unit))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "'%s' has no unit; write km/h, mph or m/s after the number", both);
    }
    rest += strspn(rest, " ");
    if (!sp_text_copy(speed->device, sizeof speed->device, rest))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the name of the device is too long: '%.40s...'",
                       rest);
    return sp_speed_value_take(value, speed->unit, &speed->m_per_s, why, sizeof why) ||
           sp_fail(error, SP_ERROR_ARGUMENT, "%s", why);
}

/* --- into a table ---------------------------------------------------------------------------- */

/* In quotation marks where it holds what the table is made of. */
static void put_cell(sp_text *text, const char *cell, char separator) {
    const char special[] = {separator, '"', '\n', '\r', '\0'};
    if (strpbrk(cell, special) == NULL) {
        sp_text_append(text, cell);
        return;
    }
    sp_text_append(text, "\"");
    for (; *cell != '\0'; cell++) {
        if (*cell == '"') sp_text_append(text, "\"");
        sp_text_append_bytes(text, cell, 1);
    }
    sp_text_append(text, "\"");
}

/* The unit goes into its column, is left out where the head says the same, and else stands beside
 * the number. */
static void put_row(sp_text *text, const sp_speed *speed, const char *player,
                    const sp_speed_columns *c, int heads, char separator) {
    char number[64];
    const bool beside = c->unit < 0 && c->head_unit != speed->unit;
    snprintf(number, sizeof number, "%.10g%s%s", sp_speed_in(speed->unit, speed->m_per_s),
             beside ? " " : "", beside ? sp_speed_unit_id(speed->unit) : "");
    for (int i = 0; i < heads; i++) {
        const char between[] = {separator, '\0'};
        if (i > 0) sp_text_append(text, between);
        if (i == c->date) put_cell(text, speed->date, separator);
        if (i == c->speed) put_cell(text, number, separator);
        if (i == c->unit) put_cell(text, sp_speed_unit_id(speed->unit), separator);
        if (i == c->device) put_cell(text, speed->device, separator);
        if (i == c->player && player != NULL) put_cell(text, player, separator);
    }
    sp_text_append(text, "\n");
}

static void put_new(sp_text *text, const sp_speed *speed) {
    static const sp_speed_columns columns = {0, 1, 2, 3, -1, SP_SPEED_NO_UNIT};
    sp_text_append(text, "date,speed,unit,device\n");
    put_row(text, speed, NULL, &columns, 4, ',');
}

/* A row behind an open quotation mark would be lost in its cell. */
static bool ends_whole(sp_table *t, const char *name, sp_error *error) {
    while (sp_table_next(t))
        if (t->open_quote)
            return sp_fail(error, SP_ERROR_FORMAT,
                           "%.80s, line %d: a quotation mark is opened and not closed; close it "
                           "before a row is added",
                           name, t->line);
    return true;
}

static bool read_heads(sp_table *t, const char *name, sp_speed_columns *columns, sp_error *error) {
    if (sp_table_next(t)) return sp_speed_columns_find(t, name, NULL, columns, error);
    return sp_fail(error, SP_ERROR_FORMAT, "'%s' is empty; take it away, and it is made anew",
                   name);
}

bool sp_speeds_put_row(sp_text *text, const char *bytes, size_t length, const char *name,
                       const sp_speed *speed, const char *player, sp_error *error) {
    sp_table t;
    sp_speed_columns columns = {-1, -1, -1, -1, -1, SP_SPEED_NO_UNIT};
    if (!sp_table_open(&t, bytes, length))
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left to read '%s'", name);
    bool good = read_heads(&t, name, &columns, error);
    const int heads = t.count;
    const char separator = t.separator;
    good = good && ends_whole(&t, name, error);
    sp_table_close(&t);
    if (!good) return false;
    sp_text_append_bytes(text, bytes, length);
    if (bytes[length - 1] != '\n') sp_text_append(text, "\n");
    put_row(text, speed, player, &columns, heads, separator);
    return true;
}

bool sp_speeds_append_csv(const char *path, const sp_speed *speed, const char *player,
                          sp_error *error) {
    char *bytes = NULL;
    size_t length;
    sp_text text = {0};
    bool good = true;
    if (access(path, F_OK) != 0 && errno == ENOENT)
        put_new(&text, speed);
    else
        good = sp_file_read(path, BYTES_MAX, &bytes, &length, error) &&
               sp_speeds_put_row(&text, bytes, length, path, speed, player, error);
    if (good && text.failed)
        good = sp_fail(error, SP_ERROR_MEMORY, "no memory left to write '%s'", path);
    good = good && sp_file_write(path, sp_text_get(&text), text.length, error);
    sp_text_clear(&text);
    free(bytes);
    return good;
}
