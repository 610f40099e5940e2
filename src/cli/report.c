/* `report`: the page that is sent to the student. */
#include <stdio.h>

#include "cli/commands.h"
#include "cli/how_far.h"
#include "cli/opened.h"
#include "cli/units.h"
#include "serveplumb/last_time.h"
#include "serveplumb/page_make.h"

typedef struct {
    sp_checks *checks;
    cli_opened opened[CLI_OPERANDS_MAX];
    sp_findings *findings[CLI_OPERANDS_MAX];
    sp_page_part parts[CLI_OPERANDS_MAX];
    int count;
    sp_page_made made;
} report;
_Static_assert(CLI_OPERANDS_MAX <= SP_PAGE_PARTS_MAX, "a page holds a part for each operand");

static bool ask_back(sp_findings *findings, const sp_review *review, const char *path,
                     sp_error *error) {
    sp_last_time last = sp_last_time_read(review, path);
    const bool good = sp_last_time_ask(&last, findings, error);
    sp_last_time_free(&last);
    return good;
}

static bool open_serve(const cli_call *call, report *r, int index, sp_units units,
                       sp_error *error) {
    const sp_clip_options cache = {.cache_bytes = SP_REEL_CACHE_BYTES};
    cli_opened *o = &r->opened[index];
    r->count = index + 1;
    if (!cli_open(call->operands[index], &cache, o, error)) return false;
    r->findings[index] = sp_findings_new(r->checks, o->review, o->readout, units, error);
    r->parts[index] = (sp_page_part){.clip = o->clip,
                                     .review = o->review,
                                     .readout = o->readout,
                                     .findings = r->findings[index]};
    return r->findings[index] != NULL &&
           ask_back(r->findings[index], o->review, call->operands[index], error);
}

static bool make(const cli_call *call, report *r, sp_error *error) {
    sp_page_options options = {.with_name = cli_given(call, "with-name"),
                               .with_files = cli_given(call, "with-files"),
                               .no_clip = cli_given(call, "no-clip")};
    if (cli_value(call, "output") == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "say where the page goes: -o serve.html");
    if (!cli_units(call, &options.units, error) || (r->checks = cli_checks(error)) == NULL)
        return false;
    for (int i = 0; i < call->operand_count; i++)
        if (!open_serve(call, r, i, options.units, error)) return false;
    cli_how_far far;
    cli_how_far_begin(&far, "page");
    const bool good = sp_page_make(r->parts, r->count, &options, cli_value(call, "output"),
                                   cli_how_far_tell, &far, &r->made, error);
    cli_how_far_end(&far);
    return good;
}

/* What the page leaves out until the coach has looked at it. */
static void tell_unsent(const report *r) {
    int unsent = 0;
    for (int i = 0; i < r->count; i++)
        for (size_t k = 0; k < sp_findings_count(r->findings[i]); k++) {
            const sp_finding *finding = sp_findings_at(r->findings[i], k);
            unsent += !finding->seen &&
                      (finding->group == SP_FINDINGS_GOOD || finding->group == SP_FINDINGS_FIRST);
        }
    if (unsent > 0)
        printf("%d findings are not on the page: see them in the window first, and mark them as "
               "seen.\n",
               unsent);
    for (int i = 0; i < r->count; i++)
        if (r->made.beside[i][0] != '\0')
            printf("Send this file with the page: %s\n", r->made.beside[i]);
}

/* So that the coach has read what the page asks the student for. */
static void tell_requests(const report *r) {
    for (int i = 0; i < r->count; i++) {
        const char *text = sp_findings_next_clip(r->findings[i], NULL);
        if (text[0] == '\0') continue;
        if (r->count > 1) printf("Serve %d. ", i + 1);
        printf("The page asks for the next clip:\n\n%s\n\n", text);
    }
}

static void close_report(report *r) {
    for (int i = 0; i < r->count; i++) {
        sp_findings_free(r->findings[i]);
        cli_close(&r->opened[i]);
    }
    sp_checks_free(r->checks);
}

static int run_report(const cli_call *call) {
    sp_error error = {0};
    static report r;
    r = (report){.count = 0};
    const bool good = make(call, &r, &error);
    if (good) {
        printf("%s\n", cli_value(call, "output"));
        tell_requests(&r);
        tell_unsent(&r);
    }
    close_report(&r);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_report = {
    .name = "report",
    .operand = "REVIEW",
    .operand_repeats = true,
    .summary = "one page for the student: pictures, clip, numbers, what to film next",
    .options = {{"output", 'o', "HTML", "where to write it"},
                {"no-clip", 0, NULL, "leave out the clip in slow motion"},
                {"with-name", 0, NULL, "say the student's name on it"},
                {"with-files", 0, NULL, "say the names of the clips on it"},
                {"units", 0, "UNITS", "metric (default) or imperial"}},
    .run = run_report,
};
