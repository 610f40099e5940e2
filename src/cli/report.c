/* `report`: the page that is sent to the student. */
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "cli/commands.h"
#include "cli/how_far.h"
#include "cli/opened.h"
#include "cli/reel_defaults.h"
#include "cli/units.h"
#include "serveplumb/last_time.h"
#include "serveplumb/page.h"

typedef struct {
    cli_opened opened;
    sp_findings *findings;
    char rendered[PATH_MAX]; /* the reel under a name of its own; "" none */
    char beside[PATH_MAX];   /* where it goes when it is too large for the page */
    bool moved;
} serve;

typedef struct {
    sp_checks *checks;
    serve serves[CLI_OPERANDS_MAX];
    sp_page_part parts[CLI_OPERANDS_MAX];
    int count;
    bool done; /* the page stands: what lies beside it is to stay */
} report;

static bool name_reels(const char *page, int index, serve *s, sp_error *error) {
    const char *dot = strrchr(page, '.'), *slash = strrchr(page, '/');
    const bool ending = dot != NULL && (slash == NULL || dot > slash);
    const int length = ending ? (int)(dot - page) : (int)strlen(page);
    const int a =
        snprintf(s->beside, sizeof s->beside, "%.*s-clip-%d.mp4", length, page, index + 1);
    const int b = snprintf(s->rendered, sizeof s->rendered, "%.*s-clip-%d.%ld.mp4", length, page,
                           index + 1, (long)getpid());
    if (a < (int)sizeof s->beside && b < (int)sizeof s->rendered) return true;
    s->rendered[0] = '\0';
    return sp_fail(error, SP_ERROR_LIMIT, "the name of the page is too long; choose a shorter one");
}

static bool render(const cli_call *call, serve *s, int index, sp_units units, sp_error *error) {
    sp_reel_options options = {.units = units, .path = SP_PATH_SO_FAR};
    if (!name_reels(cli_value(call, "output"), index, s, error)) return false;
    cli_reel_defaults(&s->opened, &options);
    sp_reel *reel =
        sp_reel_new(s->opened.clip, s->opened.review, s->opened.readout, &options, error);
    if (reel == NULL) return false;
    cli_how_far progress;
    cli_how_far_begin(&progress, "clip");
    const bool good = sp_reel_write(reel, s->rendered, cli_how_far_tell, &progress, error);
    cli_how_far_end(&progress);
    sp_reel_free(reel);
    return good;
}

/* Only what is too large for the page stays as a file. */
static bool place_reel(serve *s, sp_page_part *part, sp_error *error) {
    part->reel_path = s->rendered;
    if (sp_page_holds(s->rendered)) return true;
    if (rename(s->rendered, s->beside) != 0)
        return sp_fail(error, SP_ERROR_FILE, "cannot put the clip at '%s'; is the name taken?",
                       s->beside);
    s->moved = true;
    part->reel_path = s->beside;
    return true;
}

static bool ask_back(serve *s, const char *path, sp_error *error) {
    sp_last_time last = sp_last_time_read(s->opened.review, path);
    const bool good = sp_last_time_ask(&last, s->findings, error);
    sp_last_time_free(&last);
    return good;
}

static bool open_serve(const cli_call *call, report *r, int index, sp_units units,
                       sp_error *error) {
    const sp_clip_options cache = {.cache_bytes = CLI_REEL_CACHE_BYTES};
    serve *s = &r->serves[index];
    r->count = index + 1;
    if (!cli_open(call->operands[index], &cache, &s->opened, error)) return false;
    s->findings = sp_findings_new(r->checks, s->opened.review, s->opened.readout, units, error);
    if (s->findings == NULL || !ask_back(s, call->operands[index], error)) return false;
    r->parts[index] = (sp_page_part){.clip = s->opened.clip,
                                     .review = s->opened.review,
                                     .readout = s->opened.readout,
                                     .findings = s->findings};
    return cli_given(call, "no-clip") ||
           (render(call, s, index, units, error) && place_reel(s, &r->parts[index], error));
}

static bool make(const cli_call *call, report *r, sp_error *error) {
    sp_page_options options = {.with_name = cli_given(call, "with-name"),
                               .with_files = cli_given(call, "with-files")};
    if (cli_value(call, "output") == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "say where the page goes: -o serve.html");
    if (!cli_units(call, &options.units, error) || (r->checks = cli_checks(error)) == NULL)
        return false;
    for (int i = 0; i < call->operand_count; i++)
        if (!open_serve(call, r, i, options.units, error)) return false;
    r->done = sp_page_write(r->parts, r->count, &options, cli_value(call, "output"), error);
    return r->done;
}

/* What the page leaves out until the coach has looked at it. */
static void tell_unsent(const report *r) {
    int unsent = 0;
    for (int i = 0; i < r->count; i++)
        for (size_t k = 0; k < sp_findings_count(r->serves[i].findings); k++) {
            const sp_finding *finding = sp_findings_at(r->serves[i].findings, k);
            unsent += !finding->seen &&
                      (finding->group == SP_FINDINGS_GOOD || finding->group == SP_FINDINGS_FIRST);
        }
    if (unsent > 0)
        printf("%d findings are not on the page: see them in the window first, and mark them as "
               "seen.\n",
               unsent);
    for (int i = 0; i < r->count; i++)
        if (r->serves[i].moved) printf("Send this file with the page: %s\n", r->serves[i].beside);
}

static void close_report(report *r) {
    for (int i = 0; i < r->count; i++) {
        serve *s = &r->serves[i];
        if (s->rendered[0] != '\0' && !s->moved) unlink(s->rendered);
        if (s->moved && !r->done) unlink(s->beside);
        sp_findings_free(s->findings);
        cli_close(&s->opened);
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
