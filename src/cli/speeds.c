/* `speeds`: serve speeds by day, and whether two days differ. */
#include "serveplumb/speeds.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "cli/commands.h"
#include "cli/paths.h"
#include "cli/units.h"
#include "serveplumb/speed_days.h"

typedef struct {
    const cli_call *call;
    sp_speeds_options options;
    sp_units units;
    sp_speeds *speeds;
    sp_speed_days *days;
} work;

/* --- options --------------------------------------------------------------------------------- */
static bool take_dates(work *w, sp_error *error) {
    const char *word = cli_value(w->call, "dates");
    if (word == NULL) return true;
    if (strcmp(word, "day-first") == 0)
        w->options.dates = SP_DATES_DAY_FIRST;
    else if (strcmp(word, "month-first") == 0)
        w->options.dates = SP_DATES_MONTH_FIRST;
    else
        return sp_fail(error, SP_ERROR_ARGUMENT, "'--dates %s': expected day-first or month-first",
                       word);
    return true;
}

static bool take_options(work *w, sp_error *error) {
    const char *unit = cli_value(w->call, "unit");
    w->options.column = cli_value(w->call, "column");
    w->options.player = cli_value(w->call, "player");
    if (unit != NULL && !sp_speed_unit_find(unit, &w->options.unit))
        return sp_fail(error, SP_ERROR_ARGUMENT, "'--unit %s': expected km/h, mph or m/s", unit);
    return take_dates(w, error) && cli_units(w->call, &w->units, error);
}

/* --- what goes in ---------------------------------------------------------------------------- */
static bool is_review(const char *path) {
    const size_t length = strlen(path);
    return length > 5 && strcmp(path + length - 5, ".json") == 0;
}

static bool read_review(work *w, const char *path, sp_error *error) {
    sp_review *review = sp_review_read(path, error);
    const bool good = review != NULL && sp_speeds_of_review(w->speeds, review, path, error);
    sp_review_free(review);
    return good;
}

static bool read_all(work *w, sp_error *error) {
    cli_paths paths = {0};
    bool good = true;
    for (int i = 0; good && i < w->call->operand_count; i++)
        good = cli_paths_add(&paths, w->call->operands[i], error);
    for (size_t i = 0; good && i < paths.count; i++)
        good = is_review(paths.list[i])
                   ? read_review(w, paths.list[i], error)
                   : sp_speeds_read_csv(w->speeds, paths.list[i], &w->options, error);
    cli_paths_clear(&paths);
    return good;
}

static bool add_to_review(const char *path, const sp_speed *speed, sp_error *error) {
    sp_review *review = sp_review_read(path, error);
    const bool good = review != NULL && sp_review_add_speed(review, speed, error) &&
                      sp_review_write(review, path, error);
    sp_review_free(review);
    return good;
}

static bool add(const work *w, const char *words, sp_error *error) {
    sp_speed speed;
    const char *path = w->call->operand;
    if (w->call->operand_count != 1 || cli_is_folder(path))
        return sp_fail(error, SP_ERROR_ARGUMENT, "'--add' writes into one file; name one");
    return sp_speed_read(words, w->options.dates, &speed, error) &&
           (is_review(path) ? add_to_review(path, &speed, error)
                            : sp_speeds_append_csv(path, &speed, w->options.player, error));
}

/* --- for people ------------------------------------------------------------------------------ */
static void print_day(const sp_speed_day *day, sp_units units) {
    char mean[32], low[32] = "", high[32] = "", best[32], sd[32] = "-";
    sp_speed_text(day->mean.value, units, 1, mean, sizeof mean);
    sp_speed_text(day->summary.most, units, 1, best, sizeof best);
    if (day->summary.count > 1) {
        sp_speed_text(day->summary.sd, units, 1, sd, sizeof sd);
        sp_speed_text(day->mean.low, units, 1, low, sizeof low);
        sp_speed_text(day->mean.high, units, 1, high, sizeof high);
    }
    char range[72] = "-";
    if (low[0] != '\0')
        snprintf(range, sizeof range, "%.*s to %s", (int)strcspn(low, " "), low, high);
    printf("%-12s %6zu  %-12s %-24s %-12s %-12s %s\n", day->date, day->summary.count, mean, range,
           sd, best, day->devices_differ ? "several" : day->device);
}

static void print_days(const work *w) {
    printf("%-12s %6s  %-12s %-24s %-12s %-12s %s\n", "day", "serves", "mean", "its 95 % interval",
           "deviation", "best", "device");
    for (size_t i = 0; i < sp_speed_days_count(w->days); i++)
        print_day(sp_speed_days_at(w->days, i), w->units);
}

/* The best of few serves grows with their number alone. */
static void print_note(void) {
    puts(
        "\nServes of one session are not independent of each other, so that these intervals and p "
        "are\nat best as sure as they say. The best of many serves is higher than the best of few; "
        "first\nand second serves put together scatter more than either.");
}

/* --- JSON ------------------------------------------------------------------------------------ */
static void put_number(sp_text *text, const char *name, double value) {
    if (isfinite(value))
        sp_text_format(text, "\"%s\": %.9g", name, value);
    else
        sp_text_format(text, "\"%s\": null", name);
}

static void put_day(sp_text *text, const sp_speed_day *day) {
    sp_text_format(text, "    {\"date\": \"%s\", \"serves\": %zu, ", day->date, day->summary.count);
    put_number(text, "mean", day->mean.value);
    sp_text_append(text, ", ");
    put_number(text, "low", day->mean.low);
    sp_text_append(text, ", ");
    put_number(text, "high", day->mean.high);
    sp_text_append(text, ", ");
    put_number(text, "sd", day->summary.sd);
    sp_text_append(text, ", ");
    put_number(text, "best", day->summary.most);
    sp_text_append(text, ", \"unit\": \"m/s\", \"device\": ");
    sp_text_append_json_string(text, day->devices_differ ? "several" : day->device);
    sp_text_append(text, "}");
}

static void put_tests(sp_text *text, const sp_speed_change *c) {
    const struct {
        const char *name;
        double value;
    } numbers[] = {{"difference", c->after->summary.mean - c->before->summary.mean},
                   {"low", c->tested ? c->welch.difference.low : (double)NAN},
                   {"high", c->tested ? c->welch.difference.high : (double)NAN},
                   {"welch_t", c->tested ? c->welch.t : (double)NAN},
                   {"welch_df", c->tested ? c->welch.df : (double)NAN},
                   {"welch_p", c->tested ? c->welch.p : (double)NAN},
                   {"permutation_p", c->permutation.p},
                   {"permutation_p_error", c->tested ? c->permutation.p_error : (double)NAN},
                   {"regroupings", c->tested ? c->permutation.regrouped : (double)NAN},
                   {"hedges_g", c->effect.value},
                   {"hedges_g_low", c->effect.low},
                   {"hedges_g_high", c->effect.high}};
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        sp_text_append(text, ", ");
        put_number(text, numbers[i].name, numbers[i].value);
    }
}

static void put_change(sp_text *text, const sp_speed_change *c) {
    sp_text_format(text, "  \"change\": {\"before\": \"%s\", \"after\": \"%s\"", c->before->date,
                   c->after->date);
    put_tests(text, c);
    sp_text_format(text, ", \"exact\": %s, \"differs\": %s,\n    \"words\": ",
                   c->permutation.exact ? "true" : "false", c->differs ? "true" : "false");
    sp_text_append_json_string(text, c->words);
    sp_text_append(text, ",\n    \"conclusion\": ");
    sp_text_append_json_string(text, c->conclude);
    sp_text_append(text, "},\n");
}

static bool print_json(const work *w, const sp_speed_change *change, sp_error *error) {
    sp_text text = {0};
    sp_text_append(&text, "{\n  \"days\": [\n");
    for (size_t i = 0; i < sp_speed_days_count(w->days); i++) {
        if (i > 0) sp_text_append(&text, ",\n");
        put_day(&text, sp_speed_days_at(w->days, i));
    }
    sp_text_append(&text, "\n  ],\n");
    if (change != NULL) put_change(&text, change);
    sp_text_append(&text, "  \"faults\": [");
    for (size_t i = 0; i < sp_speeds_fault_count(w->speeds); i++) {
        const sp_speed_fault *fault = sp_speeds_fault_at(w->speeds, i);
        sp_text_format(&text, "%s\n    {\"line\": %d, \"words\": ", i > 0 ? "," : "", fault->line);
        sp_text_append_json_string(&text, fault->words);
        sp_text_append(&text, "}");
    }
    sp_text_append(&text, "]\n}\n");
    const bool good = !text.failed;
    if (good) fputs(sp_text_get(&text), stdout);
    sp_text_clear(&text);
    return good || sp_fail(error, SP_ERROR_MEMORY, "no memory left for the speeds' text");
}

/* --- the command ----------------------------------------------------------------------------- */
static bool find_day(const work *w, const char *option, size_t otherwise, size_t *index,
                     sp_error *error) {
    const char *date = cli_value(w->call, option);
    *index = date == NULL ? otherwise : sp_speed_days_find(w->days, date);
    return *index != SIZE_MAX ||
           sp_fail(error, SP_ERROR_ARGUMENT, "'--%s %s': there are no serves of that day", option,
                   date);
}

/* The last day against the first, unless others are named. */
static bool compare_days(const work *w, sp_speed_change *change, bool *compared, sp_error *error) {
    const size_t count = sp_speed_days_count(w->days);
    size_t before, after;
    *compared = false;
    if (!find_day(w, "before", 0, &before, error) ||
        !find_day(w, "after", count - 1, &after, error))
        return false;
    if (before == after) return true;
    *compared = true;
    return sp_speed_change_of(sp_speed_days_at(w->days, before), sp_speed_days_at(w->days, after),
                              w->units, change, error);
}

/* Rows that are left out are told on the error stream, each on a line. */
static void tell_faults(const work *w) {
    for (size_t i = 0; i < sp_speeds_fault_count(w->speeds); i++)
        fprintf(stderr, "serveplumb: %s\n", sp_speeds_fault_at(w->speeds, i)->words);
}

static bool tell(const work *w, sp_error *error) {
    sp_speed_change change;
    bool compared;
    if (sp_speeds_count(w->speeds) == 0)
        return sp_fail(error, SP_ERROR_FORMAT, "there is no serve speed in what was given");
    if (!compare_days(w, &change, &compared, error)) return false;
    if (cli_given(w->call, "json")) return print_json(w, compared ? &change : NULL, error);
    print_days(w);
    if (compared) printf("\n%s\n%s\n", change.words, change.conclude);
    print_note();
    return true;
}

static bool speeds(work *w, sp_error *error) {
    if (!take_options(w, error)) return false;
    const char *words = cli_value(w->call, "add");
    if (words != NULL && !add(w, words, error)) return false;
    if ((w->speeds = sp_speeds_new(error)) == NULL || !read_all(w, error)) return false;
    tell_faults(w);
    return (w->days = sp_speed_days_new(w->speeds, error)) != NULL && tell(w, error);
}

static int run_speeds(const cli_call *call) {
    sp_error error = {0};
    work w = {.call = call};
    const bool good = speeds(&w, &error);
    const bool whole = w.speeds == NULL || sp_speeds_fault_count(w.speeds) == 0;
    sp_speed_days_free(w.days);
    sp_speeds_free(w.speeds);
    if (!good) return cli_fail(&error);
    const int done = cli_done();
    return done != 0 ? done : whole ? 0 : 1;
}

const cli_command cli_speeds = {
    .name = "speeds",
    .operand = "CSV|REVIEW",
    .operand_repeats = true,
    .operand_most = 100000,
    .summary = "serve speeds by day, and whether two days differ",
    .options = {{"json", 0, NULL, "as JSON, in m/s"},
                {"unit", 0, "UNIT", "of the CSV where it says none: km/h, mph or m/s"},
                {"dates", 0, "ORDER", "of dates such as 03/04/2027: day-first or month-first"},
                {"column", 0, "HEAD", "of the CSV's speeds, where several could be"},
                {"player", 0, "NAME", "whose, where the CSV has several players"},
                {"before", 0, "DAY", "to compare (2027-03-14); the first"},
                {"after", 0, "DAY", "to compare with it; the last"},
                {"add", 0, "WORDS", "first writes one in: \"2027-03-14 112 km/h radar\""},
                {"units", 0, "UNITS", "for people: metric (default) or imperial"}},
    .run = run_speeds,
};
