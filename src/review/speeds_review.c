/* The member `speeds` of a review. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "review/document.h"
#include "review/json.h"
#include "review/speeds.h"

static const char *member_text(const cJSON *entry, const char *member) {
    const cJSON *value = cJSON_GetObjectItemCaseSensitive(entry, member);
    return cJSON_IsString(value) ? value->valuestring : "";
}

static bool take_date(const sp_review *review, const cJSON *entry, sp_speed *speed, char *why,
                      size_t size) {
    const char *text = member_text(entry, "date");
    sp_date_order order;
    bool ambiguous;
    if (text[0] == '\0') text = review->reviewed;
    if (sp_speed_date_read(text, SP_DATES_DAY_FIRST, speed->date, &order, &ambiguous) ==
            SP_DATE_GOOD &&
        !ambiguous)
        return true;
    snprintf(why, size, "date: expected \"2027-03-14\", or the review's day in 'reviewed'");
    return false;
}

static bool take_value(const cJSON *entry, sp_speed *speed, char *why, size_t size) {
    const cJSON *value = cJSON_GetObjectItemCaseSensitive(entry, "value");
    const char *unit = member_text(entry, "unit");
    if (!cJSON_IsNumber(value)) {
        snprintf(why, size, "value: expected a number");
        return false;
    }
    if (!sp_speed_unit_find(unit, &speed->unit)) {
        snprintf(why, size, "unit: expected \"m/s\", \"km/h\" or \"mph\"");
        return false;
    }
    return sp_speed_value_take(value->valuedouble, speed->unit, &speed->m_per_s, why, size);
}

static bool take_entry(sp_speeds *speeds, const sp_review *review, const char *name, int index,
                       const cJSON *entry, sp_error *error) {
    sp_speed speed = {.line = 0};
    char why[220];
    if (cJSON_IsObject(entry) && take_date(review, entry, &speed, why, sizeof why) &&
        take_value(entry, &speed, why, sizeof why)) {
        sp_text_copy(speed.device, sizeof speed.device, member_text(entry, "device"));
        return sp_speeds_put(speeds, &speed, error);
    }
    if (!cJSON_IsObject(entry)) snprintf(why, sizeof why, "expected an object");
    return sp_speeds_add_fault(speeds, name, 0, error, "speeds[%d]: %s", index, why);
}

bool sp_speeds_of_review(sp_speeds *speeds, const sp_review *review, const char *name,
                         sp_error *error) {
    if (review->speeds == NULL) return true;
    cJSON *list = sp_json_parse(review->speeds, strlen(review->speeds), name, error);
    if (list == NULL) return false;
    bool good = true;
    int index = 0;
    for (const cJSON *entry = list->child; good && entry != NULL; entry = entry->next)
        good = take_entry(speeds, review, name, index++, entry, error);
    cJSON_Delete(list);
    return good;
}

/* In the unit in which it was written, so that it reads back as it was said. */
bool sp_review_add_speed(sp_review *review, const sp_speed *speed, sp_error *error) {
    sp_text text = {0};
    const sp_speed_unit unit = speed->unit == SP_SPEED_NO_UNIT ? SP_SPEED_M_S : speed->unit;
    const size_t length = review->speeds == NULL ? 0 : strlen(review->speeds);
    /* All but the closing bracket. */
    if (length > 0)
        sp_text_append_bytes(&text, review->speeds, length - 1);
    else
        sp_text_append(&text, "[");
    if (length > 2) sp_text_append(&text, ",");
    char number[SP_JSON_NUMBER_SIZE];
    snprintf(number, sizeof number, "%.10g", sp_speed_in(unit, speed->m_per_s));
    sp_text_format(&text, "{\"date\":\"%s\",\"value\":%s,\"unit\":\"%s\"", speed->date, number,
                   sp_speed_unit_id(unit));
    if (speed->device[0] != '\0') {
        sp_text_append(&text, ",\"device\":");
        sp_text_append_json_string(&text, speed->device);
    }
    sp_text_append(&text, "}]");
    char *whole = sp_text_detach(&text);
    if (whole == NULL) {
        sp_text_clear(&text);
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the speeds of the review");
    }
    free(review->speeds);
    review->speeds = whole;
    return true;
}
