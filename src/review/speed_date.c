/* Dates as people write them. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "review/speeds.h"

/* Three letters tell a month in English; the others where they differ (German, Dutch, French,
 * Spanish, Italian, Portuguese). */
static const struct {
    const char *begins;
    int month;
} MONTHS[] = {{"jan", 1},        {"feb", 2},  {"mar", 3},        {"apr", 4},        {"may", 5},
              {"jun", 6},        {"jul", 7},  {"aug", 8},        {"sep", 9},        {"oct", 10},
              {"nov", 11},       {"dec", 12}, {"m\303\244r", 3}, {"mrt", 3},        {"maa", 3},
              {"mai", 5},        {"mei", 5},  {"okt", 10},       {"dez", 12},       {"ene", 1},
              {"abr", 4},        {"ago", 8},  {"dic", 12},       {"gen", 1},        {"mag", 5},
              {"giu", 6},        {"lug", 7},  {"set", 9},        {"ott", 10},       {"fev", 2},
              {"f\303\251v", 2}, {"avr", 4},  {"out", 10},       {"d\303\251c", 12}};

/* The parts of a date: numbers, or one of them a month's name. */
typedef struct {
    int values[3], digits[3];
    int count, named; /* which is a name; -1 none */
    char sign;        /* between the first two */
} parts;

static int month_named(const char *word, size_t length) {
    if (length < 3) return 0;
    /* French "juin" and "juillet" begin alike in three letters of English; the fourth tells. */
    if (strncasecmp(word, "juin", 4) == 0) return 6;
    if (strncasecmp(word, "juil", 4) == 0) return 7;
    for (size_t i = 0; i < sizeof MONTHS / sizeof MONTHS[0]; i++)
        if (strncasecmp(word, MONTHS[i].begins, strlen(MONTHS[i].begins)) == 0)
            return MONTHS[i].month;
    return 0;
}

static bool is_letter(char c) { return isalpha((unsigned char)c) || (unsigned char)c >= 0x80; }

static bool take_number(const char **text, parts *p) {
    int value = 0, digits = 0;
    for (; isdigit((unsigned char)**text) && digits < 9; ++*text, ++digits)
        value = 10 * value + (**text - '0');
    p->values[p->count] = value;
    p->digits[p->count++] = digits;
    return digits < 9;
}

static bool take_name(const char **text, parts *p) {
    const char *from = *text;
    while (is_letter(**text)) ++*text;
    const int month = month_named(from, (size_t)(*text - from));
    if (month == 0 || p->named >= 0) return false;
    p->named = p->count;
    p->values[p->count] = month;
    p->digits[p->count++] = 2;
    return true;
}

static bool split(const char *text, parts *p) {
    *p = (parts){.named = -1};
    while (*text == ' ') text++;
    while (p->count < 3) {
        if (isdigit((unsigned char)*text)) {
            if (!take_number(&text, p)) return false;
        } else if (!is_letter(*text) || !take_name(&text, p)) {
            return false;
        }
        if (p->count == 3 || *text == '\0') break;
        if (p->count == 1) p->sign = *text;
        while (*text != '\0' && strchr(" .,/-", *text) != NULL) text++;
    }
    /* A time of the day may follow. */
    return *text == '\0' || *text == ' ' || *text == 'T' || *text == ',' || *text == '.';
}

static int full_year(int value, int digits) {
    return digits > 2 ? value : value < 70 ? 2000 + value : 1900 + value;
}

static int days_of(int year, int month) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap ? 1 : 0);
}

static sp_date_kind put(int year, int month, int day, char date[11]) {
    if (month < 1 || month > 12 || day < 1 || year < 1950 || year > 2199 ||
        day > days_of(year, month))
        return SP_DATE_IMPOSSIBLE;
    snprintf(date, 11, "%04d-%02d-%02d", (int)(year % 10000), (int)(month % 100), (int)(day % 100));
    return SP_DATE_GOOD;
}

/* 20270314 */
static sp_date_kind put_run(int value, char date[11]) {
    return put(value / 10000, value / 100 % 100, value % 100, date);
}

/* Two numbers before the year. Dots: day first, as everywhere that writes them (common practice, no
 * source). Above 12: a day. */
static sp_date_kind put_short(const parts *p, sp_date_order assume, char date[11],
                              sp_date_order *order, bool *ambiguous) {
    const int one = p->values[0], two = p->values[1];
    if (p->sign == '.' || (one > 12 && two <= 12)) {
        *order = p->sign == '.' ? SP_DATES_NOT_SAID : SP_DATES_DAY_FIRST;
        return put(full_year(p->values[2], p->digits[2]), two, one, date);
    }
    if (two > 12 && one <= 12) *order = SP_DATES_MONTH_FIRST;
    *ambiguous = two <= 12 && one <= 12 && one != two;
    const bool month_first = *order == SP_DATES_MONTH_FIRST || assume == SP_DATES_MONTH_FIRST;
    return put(full_year(p->values[2], p->digits[2]), month_first ? one : two,
               month_first ? two : one, date);
}

sp_date_kind sp_speed_date_read(const char *text, sp_date_order assume, char date[11],
                                sp_date_order *order, bool *ambiguous) {
    parts p;
    *order = SP_DATES_NOT_SAID;
    *ambiguous = false;
    if (!split(text, &p)) return SP_DATE_NONE;
    if (p.count == 1 && p.digits[0] == 8) return put_run(p.values[0], date);
    if (p.count != 3) return SP_DATE_NONE;
    if (p.digits[0] == 4) return put(p.values[0], p.values[1], p.values[2], date);
    if (p.digits[2] != 4 && p.digits[2] != 2) return SP_DATE_NONE;
    const int year = full_year(p.values[2], p.digits[2]);
    if (p.named == 0) return put(year, p.values[0], p.values[1], date);
    if (p.named == 1) return put(year, p.values[1], p.values[0], date);
    if (p.named == 2) return SP_DATE_NONE;
    return put_short(&p, assume, date, order, ambiguous);
}
