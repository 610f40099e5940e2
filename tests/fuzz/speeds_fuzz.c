/* Any bytes as a table of serve speeds: refused with one line, or read, and then every speed is one
 * of a serve on a day that there is, every row left out is told in one line, and a row added by
 * hand is read back. For libFuzzer, and for replay.c. */
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "review/speeds.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* In failing.c: whether an allocation was made to fail. */
bool failing_has_failed(void) __attribute__((weak));

static void require(bool holds, const char *what) {
    if (holds) return;
    fprintf(stderr, "speeds_fuzz: does not hold: %s\n", what);
    abort();
}

static bool has_memory(void) { return failing_has_failed == NULL || !failing_has_failed(); }

static void require_line(const char *words) {
    require(words[0] != '\0', "a fault has words");
    for (const char *c = words; *c != '\0'; c++)
        require((unsigned char)*c >= 0x20, "a message is one line without control characters");
}

static void require_message(const sp_error *error) {
    require(error->code != SP_ERROR_NONE, "a failure has a code");
    require(error->code != SP_ERROR_MEMORY || !has_memory(),
            "memory is said to be missing when it is");
    require_line(error->message);
}

static void check_speed(const sp_speed *speed) {
    char date[SP_SPEED_DATE_SIZE];
    sp_date_order order;
    bool ambiguous;
    require(sp_speed_date_read(speed->date, SP_DATES_NOT_SAID, date, &order, &ambiguous) ==
                    SP_DATE_GOOD &&
                strcmp(date, speed->date) == 0 && !ambiguous,
            "a day is one of the calendar, year first");
    require(speed->m_per_s >= SP_SPEED_LEAST_M_S && speed->m_per_s <= SP_SPEED_MOST_M_S,
            "a speed is one of a serve");
    require(speed->unit != SP_SPEED_NO_UNIT, "a speed has a unit");
    for (const char *c = speed->device; *c != '\0'; c++)
        require((unsigned char)*c >= 0x20, "a device is one line");
}

static sp_speeds *read(const char *text, size_t length, const sp_speeds_options *options) {
    sp_error error = {0};
    sp_speeds *speeds = sp_speeds_new(&error);
    if (speeds == NULL || !sp_speeds_parse_csv(speeds, text, length, "input", options, &error)) {
        require_message(&error);
        sp_speeds_free(speeds);
        return NULL;
    }
    for (size_t i = 0; i < sp_speeds_count(speeds); i++) check_speed(sp_speeds_at(speeds, i));
    for (size_t i = 0; i < sp_speeds_fault_count(speeds); i++)
        require_line(sp_speeds_fault_at(speeds, i)->words);
    require(sp_speeds_count(speeds) + sp_speeds_fault_count(speeds) <= length,
            "a row takes a byte at least");
    return speeds;
}

static void check_added(const sp_speeds *before, const sp_text *text, const sp_speed *speed) {
    sp_speeds *after = read(sp_text_get(text), text->length, NULL);
    require(after != NULL || !has_memory(), "a table with one more row can be read");
    if (after == NULL) return;
    const size_t count = sp_speeds_count(after);
    require(count == sp_speeds_count(before) + 1, "the row that was added is there");
    const sp_speed *last = sp_speeds_at(after, count - 1);
    require(strcmp(last->date, speed->date) == 0, "its day is the one that was said");
    require(fabs(last->m_per_s - speed->m_per_s) < 1e-6, "its speed is the one that was said");
    sp_speeds_free(after);
}

/* What was read without a word of help is read so again with a row more. */
static void add_row(const char *text, size_t length, uint32_t bits) {
    static const sp_speed_unit units[] = {SP_SPEED_M_S, SP_SPEED_KM_H, SP_SPEED_MPH};
    sp_speed speed = {.date = "2027-03-14", .unit = units[bits % 3]};
    speed.m_per_s = SP_SPEED_LEAST_M_S + 0.1 + bits % 1000 / 14.0;
    snprintf(speed.device, sizeof speed.device, "%s", bits % 2 ? "gun, \"the old\"; 2" : "radar");
    sp_speeds *before = read(text, length, NULL);
    sp_text with = {0};
    sp_error error = {0};
    if (!sp_speeds_put_row(&with, text, length, "input", &speed, NULL, &error))
        require_message(&error);
    else if (before != NULL && !with.failed)
        check_added(before, &with, &speed);
    sp_text_clear(&with);
    sp_speeds_free(before);
}

static void read_by_hand(const char *text) {
    char words[200];
    sp_speed speed;
    sp_error error = {0};
    sp_text_copy(words, sizeof words, text);
    words[strcspn(words, "\r\n")] = '\0';
    for (char *c = words; *c != '\0'; c++) *c = (unsigned char)*c < 0x20 ? ' ' : *c;
    if (sp_speed_read(words, SP_DATES_NOT_SAID, &speed, &error))
        check_speed(&speed);
    else
        require_message(&error);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    uint32_t bits = 2166136261u; /* FNV-1a: options depend on every byte */
    for (size_t i = 0; i < size; i++) bits = (bits ^ data[i]) * 16777619u;
    const sp_speeds_options options = {.unit = (sp_speed_unit)(bits % 4),
                                       .dates = (sp_date_order)(bits / 4 % 3),
                                       .column = bits % 5 == 0 ? "speed" : NULL,
                                       .player = bits % 7 == 0 ? "Anna" : NULL};
    char *text = malloc(size + 1);
    if (text == NULL) return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    sp_speeds_free(read(text, size, &options));
    if (size > 0) add_row(text, size, bits / 8);
    read_by_hand(text);
    free(text);
    return 0;
}
