/* Tables of serve speeds as people keep them, whole and broken. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "near.h"
#include "review/speeds.h"
#include "serveplumb/speed_days.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static sp_speeds *parsed(const char *text, const sp_speeds_options *options) {
    sp_speeds *speeds = sp_speeds_new(NULL);
    assert_non_null(speeds);
    sp_error error = {0};
    if (!sp_speeds_parse_csv(speeds, text, strlen(text), "list.csv", options, &error)) {
        print_error("%s\n", error.message);
        fail();
    }
    return speeds;
}

static void assert_refused(const char *text, const sp_speeds_options *options, const char *phrase) {
    sp_speeds *speeds = sp_speeds_new(NULL);
    sp_error error = {0};
    assert_false(sp_speeds_parse_csv(speeds, text, strlen(text), "list.csv", options, &error));
    if (strstr(error.message, phrase) == NULL) {
        print_error("got '%s', expected '%s'\n", error.message, phrase);
        fail();
    }
    sp_speeds_free(speeds);
}

static void assert_row(const sp_speeds *speeds, size_t index, const char *date, double km_h,
                       const char *device) {
    assert_true(index < sp_speeds_count(speeds));
    const sp_speed *speed = sp_speeds_at(speeds, index);
    assert_string_equal(speed->date, date);
    assert_near(speed->m_per_s * 3.6, km_h, 1e-9);
    assert_string_equal(speed->device, device);
}

static void assert_fault(const sp_speeds *speeds, size_t index, int line, const char *phrase) {
    assert_true(index < sp_speeds_fault_count(speeds));
    const sp_speed_fault *fault = sp_speeds_fault_at(speeds, index);
    assert_int_equal(fault->line, line);
    char where[40];
    snprintf(where, sizeof where, "list.csv, line %d: ", line);
    assert_non_null(strstr(fault->words, where));
    if (strstr(fault->words, phrase) != NULL) return;
    print_error("got '%s', expected '%s'\n", fault->words, phrase);
    fail();
}

/* --- tables ---------------------------------------------------------------------------------- */
static void a_table_with_commas_is_read(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("Date,Player,Serve speed (mph),Radar\n"
                               "2027-03-14,Ana,97.3,\"Pocket, old\"\n"
                               "2027-03-21,Ana,101,\n",
                               NULL);
    assert_int_equal(sp_speeds_count(speeds), 2);
    assert_row(speeds, 0, "2027-03-14", 97.3 * 1.609344, "Pocket, old");
    assert_row(speeds, 1, "2027-03-21", 101 * 1.609344, "");
    assert_int_equal(sp_speeds_at(speeds, 1)->line, 3);
    sp_speeds_free(speeds);
}

static void a_table_with_semicolons_commas_in_numbers_and_a_mark_is_read(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("\xEF\xBB\xBF"
                               "Datum;Geschwindigkeit;Einheit;Ger\303\244t\r\n"
                               "14.03.2027;141,25;km/h;Radar\r\n"
                               "\r\n"
                               ";;;\r\n"
                               "1.4.27;39,5;m/s;\"der \"\"alte\"\"\"\r\n",
                               NULL);
    assert_int_equal(sp_speeds_fault_count(speeds), 0);
    assert_row(speeds, 0, "2027-03-14", 141.25, "Radar");
    assert_row(speeds, 1, "2027-04-01", 39.5 * 3.6, "der \"alte\"");
    assert_int_equal(sp_speeds_at(speeds, 1)->line, 5);
    sp_speeds_free(speeds);
}

static void tabs_old_line_ends_and_a_said_separator_are_read(void **state) {
    (void)state;
    sp_speeds *tabs = parsed("day\tkm/h\r2027-03-14\t141\r2027-03-15\t139,5", NULL);
    assert_row(tabs, 0, "2027-03-14", 141, "");
    assert_row(tabs, 1, "2027-03-15", 139.5, "");
    sp_speeds *clock = parsed("Date/Time,Ball Speed (MPH)\n3/14/2027 6:05 PM,97\n", NULL);
    assert_row(clock, 0, "2027-03-14", 97 * 1.609344, "");
    sp_speeds_free(clock);
    sp_speeds_free(tabs);
    sp_speeds *said = parsed("sep=;\ndate;speed_kmh\n2027-03-14;141\n", NULL);
    assert_row(said, 0, "2027-03-14", 141, "");
    sp_speeds_free(said);
}

/* The cell's own unit before the column's, that before the head's, that before what is said. */
static void units_are_taken_from_the_nearest(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("date,speed km/h,unit\n"
                               "2027-03-14,90 MPH,m/s\n"
                               "2027-03-14,40.5,m/s\n"
                               "2027-03-14,141.5,\n"
                               "2027-03-14,141.5\302\240km/h,\n",
                               &(sp_speeds_options){.unit = SP_SPEED_MPH});
    assert_int_equal(sp_speeds_count(speeds), 4);
    assert_row(speeds, 0, "2027-03-14", 90 * 1.609344, "");
    assert_row(speeds, 1, "2027-03-14", 40.5 * 3.6, "");
    assert_row(speeds, 2, "2027-03-14", 141.5, "");
    assert_row(speeds, 3, "2027-03-14", 141.5, "");
    sp_speeds_free(speeds);
    speeds = parsed("date,speed\n2027-03-14,90\n", &(sp_speeds_options){.unit = SP_SPEED_MPH});
    assert_row(speeds, 0, "2027-03-14", 90 * 1.609344, "");
    sp_speeds_free(speeds);
}

static void faults_are_named_by_line_and_good_rows_are_kept(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("date,speed,unit\n"
                               "2027-03-14,141,km/h\n"
                               "2027-03-14,,km/h\n"
                               "2027-03-14,fast,km/h\n"
                               "2027-03-14,141,knots\n"
                               "2027-02-29,141,km/h\n"
                               ",141,km/h\n"
                               "yesterday,141,km/h\n"
                               "2027-03-14,141\n"
                               "2027-03-14,141,2,km/h\n"
                               "2027-03-14,-141,km/h\n"
                               "2027-03-14,411,km/h\n"
                               "2027-03-14,1.3e2,km/h\n"
                               "2027-03-15,142.5,km/h\n",
                               NULL);
    assert_int_equal(sp_speeds_count(speeds), 2);
    assert_row(speeds, 1, "2027-03-15", 142.5, "");
    assert_int_equal(sp_speeds_fault_count(speeds), 11);
    assert_fault(speeds, 0, 3, "no speed");
    assert_fault(speeds, 1, 4, "'fast' is no speed");
    assert_fault(speeds, 2, 5, "'knots' is no unit");
    assert_fault(speeds, 3, 6, "no day '2027-02-29'");
    assert_fault(speeds, 4, 7, "no date");
    assert_fault(speeds, 5, 8, "'yesterday' is no date");
    assert_fault(speeds, 6, 9, "no unit");
    assert_fault(speeds, 7, 10, "decimal comma");
    assert_fault(speeds, 8, 11, "'-141' is no speed");
    assert_fault(speeds, 9, 12, "411 km/h is no speed of a serve");
    assert_fault(speeds, 10, 13, "after the number");
    sp_speeds_free(speeds);
}

static void a_quotation_mark_that_never_closes_is_a_fault_of_its_line(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("date,km/h,device\n2027-03-14,141,a\n2027-03-15,142,\"b\n2027-03-16,"
                               "143,c\n",
                               NULL);
    assert_int_equal(sp_speeds_count(speeds), 1);
    assert_fault(speeds, 0, 3, "not closed");
    sp_speeds_free(speeds);
}

/* A quoted cell of two lines is one row; the next one's line is still right. */
static void no_row_is_added_behind_a_quotation_mark_that_never_closes(void **state) {
    (void)state;
    static const char text[] = "date,speed km/h\n2027-03-14,\"112\n2027-03-15,113\n";
    const sp_speed speed = {.date = "2027-03-16", .m_per_s = 31.7, .unit = SP_SPEED_KM_H};
    sp_text with = {0};
    sp_error error = {0};
    assert_false(sp_speeds_put_row(&with, text, strlen(text), "list.csv", &speed, NULL, &error));
    assert_non_null(strstr(error.message, "list.csv, line 2: a quotation mark is opened"));
    assert_int_equal(with.length, 0);
    sp_text_clear(&with);
}

static void a_cell_of_two_lines_keeps_the_count_of_lines(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("date,km/h,device\n2027-03-14,141,\"a\nb\"\n2027-03-15,x,c\n", NULL);
    assert_row(speeds, 0, "2027-03-14", 141, "a b");
    assert_fault(speeds, 0, 4, "'x' is no speed");
    sp_speeds_free(speeds);
}

static void what_cannot_be_used_at_all_is_refused(void **state) {
    (void)state;
    assert_refused("", NULL, "is empty");
    assert_refused("\n\n", NULL, "is empty");
    assert_refused("date,speed km/h\n", NULL, "no row");
    assert_refused("a,b\n1,2\n", NULL, "no column of speeds among 'a', 'b'");
    assert_refused("speed km/h\n141\n", NULL, "no column of dates");
    assert_refused("date,km/h,mph\n2027-03-14,141,88\n", NULL, "choose one with --column");
    assert_refused("date,speed\n2027-03-14,141\n", NULL, "say --unit");
    assert_refused("date,km/h\n2027-03-14,141\n", &(sp_speeds_options){.column = "mph"},
                   "check '--column'");
    sp_error error = {0};
    sp_speeds *speeds = sp_speeds_new(NULL);
    assert_false(sp_speeds_parse_csv(speeds,
                                     "\xFF\xFE"
                                     "d\0a\0",
                                     6, "wide.csv", NULL, &error));
    assert_non_null(strstr(error.message, "UTF-16"));
    assert_false(sp_speeds_read_csv(speeds, "/nowhere/at-all.csv", NULL, &error));
    sp_speeds_free(speeds);
}

/* A fault takes a hundred times the memory of such a row. */
static void a_table_of_nothing_but_faults_is_left(void **state) {
    (void)state;
    enum { ROWS = 20011 };
    static const char head[] = "date,speed km/h\n";
    static char text[sizeof head + 2 * ROWS];
    memcpy(text, head, sizeof head);
    for (int i = 0; i < ROWS; i++) memcpy(text + sizeof head - 1 + 2 * i, "x\n", 3);
    assert_refused(text, NULL, "line 1002");
}

static void a_column_is_chosen_by_its_head(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("date,first km/h,second (mph)\n2027-03-14,141,88\n",
                               &(sp_speeds_options){.column = "Second (mph)"});
    assert_row(speeds, 0, "2027-03-14", 88 * 1.609344, "");
    sp_speeds_free(speeds);
}

/* Two players in one mean would be neither. */
static void players_are_never_put_together(void **state) {
    (void)state;
    const char *text =
        "date,player,km/h\n2027-03-14,Ana,121\n2027-03-14,Ben,167\n2027-03-14,ana,x\n"
        "2027-03-15,ANA,125\n";
    assert_refused(text, NULL, "line 3: speeds of 'Ana' and of 'Ben'; choose one with --player");
    sp_speeds *speeds = parsed(text, &(sp_speeds_options){.player = "ana"});
    assert_int_equal(sp_speeds_count(speeds), 2);
    assert_row(speeds, 1, "2027-03-15", 125, "");
    assert_int_equal(sp_speeds_fault_count(speeds), 1);
    sp_speeds_free(speeds);
    assert_refused(text, &(sp_speeds_options){.player = "Cleo"}, "no row of 'Cleo'");
    assert_refused("date,km/h\n2027-03-14,121\n", &(sp_speeds_options){.player = "Ana"},
                   "no column of players");
    speeds =
        parsed("date,player,km/h\n2027-03-14,Ana,121\n2027-03-14,,122\n2027-03-14,ana,123\n", NULL);
    assert_int_equal(sp_speeds_count(speeds), 3);
    sp_speeds_free(speeds);
}

/* --- dates ----------------------------------------------------------------------------------- */
static void dates_are_read_in_iso_and_local_forms(void **state) {
    (void)state;
    static const struct {
        const char *text, *date;
    } rows[] = {{"2027-03-14", "2027-03-14"},       {"2027/3/4", "2027-03-04"},
                {"20270314", "2027-03-14"},         {"2027-03-14T18:05:11Z", "2027-03-14"},
                {"2027-03-14 18:05", "2027-03-14"}, {"14.03.2027", "2027-03-14"},
                {"4.3.27", "2027-03-04"},           {"14. M\303\244rz 2027", "2027-03-14"},
                {"14 March 2027", "2027-03-14"},    {"Mar 14, 2027", "2027-03-14"},
                {"14-Mar-27", "2027-03-14"},        {"14/03/2027", "2027-03-14"},
                {"03/14/2027", "2027-03-14"},       {"5 juillet 2027", "2027-07-05"},
                {"5 juin 2027", "2027-06-05"},      {"31 dic 2027", "2027-12-31"},
                {"29.02.2028", "2028-02-29"},       {"07/07/2027", "2027-07-07"}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        char date[11] = "";
        sp_date_order order;
        bool ambiguous;
        const sp_date_kind kind =
            sp_speed_date_read(rows[i].text, SP_DATES_NOT_SAID, date, &order, &ambiguous);
        if (kind != SP_DATE_GOOD || ambiguous) print_error("%s\n", rows[i].text);
        assert_int_equal(kind, SP_DATE_GOOD);
        assert_string_equal(date, rows[i].date);
        assert_false(ambiguous);
    }
}

static void what_is_no_date_is_told_from_one_that_does_not_exist(void **state) {
    (void)state;
    static const char *const none[] = {
        "",       "soon",  "14.03",           "2027",   "14 Foo 2027", "1/2/3/4",
        "3-2027", "14:05", "123456789012345", "1 2 345"};
    static const char *const impossible[] = {"2027-13-01", "2027-02-29", "31.04.2027", "00/00/2027",
                                             "99999999",   "2027-00-10", "32 May 2027"};
    char date[11];
    sp_date_order order;
    bool ambiguous;
    for (size_t i = 0; i < COUNT(none); i++)
        assert_int_equal(sp_speed_date_read(none[i], SP_DATES_NOT_SAID, date, &order, &ambiguous),
                         SP_DATE_NONE);
    for (size_t i = 0; i < COUNT(impossible); i++)
        assert_int_equal(
            sp_speed_date_read(impossible[i], SP_DATES_NOT_SAID, date, &order, &ambiguous),
            SP_DATE_IMPOSSIBLE);
}

static void ambiguous_dates_are_asked_for(void **state) {
    (void)state;
    const char *text = "date,km/h\n03/04/2027,141\n03/05/2027,142\n";
    assert_refused(text, NULL, "line 2: '03/04/2027' may be day and month");
    sp_speeds *day_first = parsed(text, &(sp_speeds_options){.dates = SP_DATES_DAY_FIRST});
    assert_row(day_first, 0, "2027-04-03", 141, "");
    sp_speeds_free(day_first);
    sp_speeds *month_first = parsed(text, &(sp_speeds_options){.dates = SP_DATES_MONTH_FIRST});
    assert_row(month_first, 0, "2027-03-04", 141, "");
    sp_speeds_free(month_first);
}

static void one_clear_date_settles_the_others(void **state) {
    (void)state;
    sp_speeds *speeds = parsed("date,km/h\n03/04/2027,141\n03/25/2027,142\n", NULL);
    assert_row(speeds, 0, "2027-03-04", 141, "");
    sp_speeds_free(speeds);
    speeds = parsed("date,km/h\n03/04/2027,141\n25/03/2027,142\n", NULL);
    assert_row(speeds, 0, "2027-04-03", 141, "");
    sp_speeds_free(speeds);
    assert_refused("date,km/h\n03/25/2027,141\n25/03/2027,142\n", NULL,
                   "line 3 puts the day first, line 2 the month");
    speeds = parsed("date,km/h\n03/25/2027,141\n25/03/2027,142\n",
                    &(sp_speeds_options){.dates = SP_DATES_MONTH_FIRST});
    assert_int_equal(sp_speeds_count(speeds), 1);
    assert_fault(speeds, 0, 3, "another order");
    sp_speeds_free(speeds);
}

/* --- by hand --------------------------------------------------------------------------------- */
static void a_speed_is_read_from_words(void **state) {
    (void)state;
    sp_speed speed;
    assert_true(sp_speed_read("2027-03-14 112,4 km/h radar gun", SP_DATES_NOT_SAID, &speed, NULL));
    assert_near(speed.m_per_s * 3.6, 112.4, 1e-9);
    assert_string_equal(speed.device, "radar gun");
    assert_true(sp_speed_read("14.3.2027 70.5mph", SP_DATES_NOT_SAID, &speed, NULL));
    assert_string_equal(speed.date, "2027-03-14");
    assert_int_equal(speed.unit, SP_SPEED_MPH);
    static const char *const wrong[] = {"",
                                        "2027-03-14",
                                        "2027-03-14 112",
                                        "112 km/h",
                                        "2027-03-14 112 kn",
                                        "03/04/2027 112 km/h",
                                        "2027-02-30 112 km/h",
                                        "2027-03-14 1120 km/h"};
    for (size_t i = 0; i < COUNT(wrong); i++) {
        sp_error error = {0};
        assert_false(sp_speed_read(wrong[i], SP_DATES_NOT_SAID, &speed, &error));
        assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    }
}

/* --- days ------------------------------------------------------------------------------------ */
static sp_speed_days *days_of(const char *text) {
    sp_speeds *speeds = parsed(text, NULL);
    sp_speed_days *days = sp_speed_days_new(speeds, NULL);
    assert_non_null(days);
    sp_speeds_free(speeds);
    return days;
}

static void days_are_in_order_with_their_mean_deviation_and_best(void **state) {
    (void)state;
    sp_speed_days *days = days_of("date,km/h,device\n2027-03-21,150,b\n2027-03-14,141,a\n"
                                  "2027-03-14,145,a\n2027-03-21,151,c\n2027-03-14,139,a\n");
    assert_int_equal(sp_speed_days_count(days), 2);
    const sp_speed_day *day = sp_speed_days_at(days, 0);
    assert_string_equal(day->date, "2027-03-14");
    assert_int_equal(day->summary.count, 3);
    assert_near(day->summary.mean * 3.6, 425.0 / 3, 1e-9);
    assert_near(day->summary.sd * 3.6,
                sqrt((2.0 / 3 * 2.0 / 3 + 10.0 / 3 * 10.0 / 3 + 8.0 / 3 * 8.0 / 3) / 2), 1e-9);
    assert_near(day->summary.most * 3.6, 145, 1e-9);
    assert_string_equal(day->device, "a");
    assert_near(day->values[2] * 3.6, 139, 1e-9);
    assert_true(sp_speed_days_at(days, 1)->devices_differ);
    sp_speed_days_free(days);
}

static sp_speed_change change_of(const char *text, sp_speed_days **days) {
    *days = days_of(text);
    sp_speed_change change;
    assert_true(sp_speed_change_of(sp_speed_days_at(*days, 0), sp_speed_days_at(*days, 1),
                                   SP_UNITS_METRIC, &change, NULL));
    return change;
}

static void clearly_faster_serves_differ_but_are_given_no_cause(void **state) {
    (void)state;
    sp_speed_days *days;
    const sp_speed_change change =
        change_of("date,km/h,device\n2027-03-14,141,a\n2027-03-14,139,a\n2027-03-14,142.5,a\n"
                  "2027-03-14,140,a\n2027-03-21,150,b\n2027-03-21,151,b\n2027-03-21,149.2,b\n"
                  "2027-03-21,152,b\n",
                  &days);
    assert_true(change.differs);
    assert_near(change.permutation.p, 2.0 / 70, 1e-12);
    assert_non_null(strstr(change.words, "regrouped in all 70 ways"));
    assert_non_null(strstr(change.conclude, "What made them differ they do not say"));
    assert_non_null(strstr(change.conclude, "different devices ('a', 'b')"));
    assert_null(strstr(change.conclude, "because"));
    sp_speed_days_free(days);
}

/* Three against three: no regrouping of twenty is rare enough. */
static void three_serves_a_day_conclude_nothing(void **state) {
    (void)state;
    sp_speed_days *days;
    const sp_speed_change change =
        change_of("date,km/h\n2027-03-14,121\n2027-03-14,120\n2027-03-14,122\n2027-03-21,150\n"
                  "2027-03-21,151\n2027-03-21,149\n",
                  &days);
    assert_false(change.differs);
    assert_true(change.welch.p < 0.001);
    assert_non_null(strstr(change.conclude, "with so few serves no difference"));
    sp_speed_days_free(days);
}

static void a_single_serve_or_equal_readings_are_not_tested(void **state) {
    (void)state;
    sp_speed_days *days;
    sp_speed_change change =
        change_of("date,km/h\n2027-03-14,121\n2027-03-21,150\n2027-03-21,151\n", &days);
    assert_false(change.tested || change.differs);
    sp_speed_days_free(days);
    change = change_of("date,km/h\n2027-03-14,120\n2027-03-14,120\n2027-03-21,150\n2027-03-21,"
                       "150\n",
                       &days);
    assert_false(change.tested || change.differs);
    assert_non_null(strstr(change.words, "no scatter"));
    sp_speed_days_free(days);
}

static void a_measure_and_the_speed_changed_together_not_because(void **state) {
    (void)state;
    sp_speed_days *days;
    sp_speed_change speed =
        change_of("date,km/h\n2027-03-14,141\n2027-03-14,139\n2027-03-14,142.5\n2027-03-14,140\n"
                  "2027-03-21,150\n2027-03-21,151\n2027-03-21,149.2\n2027-03-21,152\n",
                  &days);
    sp_change change = {.kind = sp_catalogue_at(0),
                        .difference = {0.052, 0.031, 0.073},
                        .verdict = SP_CHANGE_CHANGED};
    char text[400];
    sp_together_text(&change, &speed, SP_UNITS_METRIC, text, sizeof text);
    assert_non_null(strstr(text, "changed together"));
    assert_null(strstr(text, "because"));
    change.verdict = SP_CHANGE_WITHIN_ERROR;
    sp_together_text(&change, &speed, SP_UNITS_METRIC, text, sizeof text);
    assert_string_equal(text, "");
    sp_speed_days_free(days);
}

/* --- hostile --------------------------------------------------------------------------------- */

/* Pieces of tables in any order: read or refused, whatever they are, and each kept row is sane. */
static void no_heap_of_pieces_breaks_the_reader(void **state) {
    (void)state;
    static const char *const pieces[] = {
        "date", "speed",      "km/h",  "mph",          ",",    ";",          "\t",      "\"",
        "\n",   "\r\n",       "\r",    "2027",         "-",    "03/04/2027", "14.3.27", "141,5",
        "97.3", " ",          "sep=;", "\xEF\xBB\xBF", "\xC3", "\302\240",   "unit",    "m/s",
        "Mar",  "99999999999"};
    unsigned dice = 20270314;
    for (int round = 0; round < 4000; round++) {
        char text[512] = "date,speed km/h\n";
        if (round % 2 == 0) text[0] = '\0';
        for (int i = 0; i < 30; i++) {
            dice = dice * 1103515245u + 12345u;
            strncat(text, pieces[(dice >> 16) % COUNT(pieces)], sizeof text - strlen(text) - 1);
        }
        /* Of its own length, so that a step beyond the end is seen by the sanitizer. */
        const size_t length = strlen(text);
        char *own = malloc(length + 1);
        assert_non_null(own);
        memcpy(own, text, length + 1);
        sp_speeds *speeds = sp_speeds_new(NULL);
        sp_error error = {0};
        if (!sp_speeds_parse_csv(speeds, own, length, "list.csv",
                                 &(sp_speeds_options){.dates = SP_DATES_DAY_FIRST}, &error))
            assert_true(strlen(error.message) > 10 && strchr(error.message, '\n') == NULL);
        for (size_t i = 0; i < sp_speeds_count(speeds); i++)
            assert_true(sp_speeds_at(speeds, i)->m_per_s >= SP_SPEED_LEAST_M_S &&
                        strlen(sp_speeds_at(speeds, i)->date) == 10);
        sp_speeds_free(speeds);
        free(own);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_table_with_commas_is_read),
        cmocka_unit_test(a_table_with_semicolons_commas_in_numbers_and_a_mark_is_read),
        cmocka_unit_test(tabs_old_line_ends_and_a_said_separator_are_read),
        cmocka_unit_test(units_are_taken_from_the_nearest),
        cmocka_unit_test(faults_are_named_by_line_and_good_rows_are_kept),
        cmocka_unit_test(a_quotation_mark_that_never_closes_is_a_fault_of_its_line),
        cmocka_unit_test(no_row_is_added_behind_a_quotation_mark_that_never_closes),
        cmocka_unit_test(a_cell_of_two_lines_keeps_the_count_of_lines),
        cmocka_unit_test(what_cannot_be_used_at_all_is_refused),
        cmocka_unit_test(a_table_of_nothing_but_faults_is_left),
        cmocka_unit_test(a_column_is_chosen_by_its_head),
        cmocka_unit_test(players_are_never_put_together),
        cmocka_unit_test(dates_are_read_in_iso_and_local_forms),
        cmocka_unit_test(what_is_no_date_is_told_from_one_that_does_not_exist),
        cmocka_unit_test(ambiguous_dates_are_asked_for),
        cmocka_unit_test(one_clear_date_settles_the_others),
        cmocka_unit_test(a_speed_is_read_from_words),
        cmocka_unit_test(days_are_in_order_with_their_mean_deviation_and_best),
        cmocka_unit_test(clearly_faster_serves_differ_but_are_given_no_cause),
        cmocka_unit_test(three_serves_a_day_conclude_nothing),
        cmocka_unit_test(a_single_serve_or_equal_readings_are_not_tested),
        cmocka_unit_test(a_measure_and_the_speed_changed_together_not_because),
        cmocka_unit_test(no_heap_of_pieces_breaks_the_reader),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
