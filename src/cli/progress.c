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

static bool make(const cli_call *call, sp_history **history, sp_error *error) {
    const char *output = cli_value(call, "output");
    sp_history_page_options options = {.with_name = cli_given(call, "with-name"),
                                       .same_camera = cli_given(call, "same-camera"),
                                       .no_pictures = cli_given(call, "no-pictures")};
    if (output == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "say where the page goes: -o history.html");
    if (!cli_units(call, &options.units, error)) return false;
    *history = read_history(call, error);
    sp_checks *checks = *history == NULL ? NULL : cli_checks(error);
    if (*history != NULL) tell_faults(*history);
    const bool good =
        checks != NULL && sp_history_page_write(*history, checks, &options, output, error);
    sp_checks_free(checks);
    return good;
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
                {"same-camera", 0, NULL, "it stood and looked the same on all days"},
                {"no-pictures", 0, NULL, "leave out the moments side by side"},
                {"with-name", 0, NULL, "say the student's name on it"},
                {"units", 0, "UNITS", "metric (default) or imperial"}},
    .run = run_progress,
};
