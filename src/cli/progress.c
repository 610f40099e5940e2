/* `progress`: a student's history as one page. */
#include <stdio.h>

#include "cli/commands.h"
#include "cli/how_far.h"
#include "cli/opened.h"
#include "cli/units.h"
#include "serveplumb/history_page.h"

static sp_history *read_history(const cli_call *call, sp_error *error) {
    cli_how_far work;
    long long workers = 0;
    if (!cli_integer(call, "jobs", 1, 64, &workers, error)) return NULL;
    cli_how_far_begin(&work, "reading out");
    const sp_history_options options = {
        .workers = (int)workers, .tell = cli_how_far_tell, .whom = &work};
    sp_history *history = sp_history_read(call->operand, &options, error);
    cli_how_far_end(&work);
    return history;
}

static void tell_faults(const sp_history *history) {
    for (size_t i = 0; i < sp_history_fault_count(history); i++)
        fprintf(stderr, "serveplumb: left out: %s\n", sp_history_fault_at(history, i));
}

/* Of the table, if one is given, and of the reviews. */
static bool read_speeds(const cli_call *call, const sp_history *history, sp_speeds *speeds,
                        sp_error *error) {
    const char *table = cli_value(call, "speeds");
    if (table != NULL && !sp_speeds_read_csv(speeds, table, NULL, error)) return false;
    for (size_t i = 0; i < sp_history_count(history); i++) {
        const sp_history_serve *serve = sp_history_at(history, i);
        if (!sp_speeds_of_review(speeds, serve->review, serve->path, error)) return false;
    }
    for (size_t i = 0; i < sp_speeds_fault_count(speeds); i++)
        fprintf(stderr, "serveplumb: left out: %s\n", sp_speeds_fault_at(speeds, i)->words);
    return true;
}

static sp_speed_days *days_of(const cli_call *call, const sp_history *history, sp_error *error) {
    sp_speeds *speeds = sp_speeds_new(error);
    sp_speed_days *days = NULL;
    if (speeds != NULL && read_speeds(call, history, speeds, error))
        days = sp_speed_days_new(speeds, error);
    sp_speeds_free(speeds);
    return days;
}

static bool write(const cli_call *call, const sp_history *history, sp_history_page_options *options,
                  sp_error *error) {
    sp_speed_days *days = days_of(call, history, error);
    sp_checks *checks = days == NULL ? NULL : cli_checks(error);
    options->speeds = days;
    const bool good = checks != NULL && sp_history_page_write(history, checks, options,
                                                              cli_value(call, "output"), error);
    sp_checks_free(checks);
    sp_speed_days_free(days);
    return good;
}

static bool make(const cli_call *call, sp_history **history, sp_error *error) {
    const char *output = cli_value(call, "output");
    sp_history_page_options options = {.with_name = cli_given(call, "with-name"),
                                       .same_camera = cli_given(call, "same-camera"),
                                       .no_pictures = cli_given(call, "no-pictures")};
    if (output == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "say where the page goes: -o history.html");
    if (!cli_units(call, &options.units, error)) return false;
    *history = read_history(call, error);
    if (*history == NULL) return false;
    tell_faults(*history);
    return write(call, *history, &options, error);
}

static int run_progress(const cli_call *call) {
    sp_error error = {0};
    sp_history *history = NULL;
    const bool good = make(call, &history, &error);
    sp_history_free(history);
    if (!good) return cli_fail(&error);
    printf("%s\n", cli_value(call, "output"));
    return cli_done();
}

const cli_command cli_progress = {
    .name = "progress",
    .operand = "FOLDER",
    .summary = "a student's history: each measure over the days, what was asked and what came",
    .options = {{"output", 'o', "HTML", "where to write it"},
                {"jobs", 'j', "N", "threads to read out with (default: one a processor)"},
                {"speeds", 0, "CSV", "measured serve speeds, as 'speeds' reads them"},
                {"same-camera", 0, NULL, "it stood and looked the same on all days"},
                {"no-pictures", 0, NULL, "leave out the moments side by side"},
                {"with-name", 0, NULL, "say the student's name on it"},
                {"units", 0, "UNITS", "metric (default) or imperial"}},
    .run = run_progress,
};
