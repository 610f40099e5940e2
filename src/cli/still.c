/* `still`: one frame with the overlay, or several beside each other. */
#include "serveplumb/still.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "cli/commands.h"
#include "cli/opened.h"
#include "cli/units.h"
#include "serveplumb/panels.h"

/* What stands on the picture: moments of the first review, or of two. */
typedef struct {
    cli_opened first, second;
    sp_panel panels[SP_PANELS_MAX];
    char names[SP_PANELS_MAX][SP_REVIEW_ID_MAX];
    int count;
} plan;

static bool find_moment(const sp_review *review, const char *moment, int *frame, sp_error *error) {
    *frame = sp_review_moment_frame(review, moment);
    return *frame >= 0 ||
           sp_fail(error, SP_ERROR_ARGUMENT,
                   "the review names no moment '%s'; name it in the window, or give --frame",
                   moment);
}

static bool add_panel(plan *p, const cli_opened *from, const char *moment, int frame,
                      const char *whose, sp_error *error) {
    if (p->count == SP_PANELS_MAX)
        return sp_fail(error, SP_ERROR_ARGUMENT, "more than %d pictures; name fewer moments",
                       SP_PANELS_MAX);
    sp_panel *panel = &p->panels[p->count];
    *panel = (sp_panel){.clip = from->clip,
                        .review = from->review,
                        .readout = from->readout,
                        .frame = frame,
                        .whose = whose};
    if (moment != NULL) {
        sp_text_copy(p->names[p->count], sizeof p->names[0], moment);
        panel->moment = p->names[p->count];
        if (!find_moment(from->review, panel->moment, &panel->frame, error)) return false;
    }
    p->count++;
    return true;
}

static bool add_all(plan *p, sp_error *error) {
    const sp_review *review = p->first.review;
    if (sp_review_moment_count(review) < 2)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "a row needs two moments or more; name them in the window");
    for (size_t i = 0; i < sp_review_moment_count(review); i++)
        if (!add_panel(p, &p->first, sp_review_moment_at(review, i)->name, 0, NULL, error))
            return false;
    return true;
}

static bool add_row(plan *p, const char *names, sp_error *error) {
    if (strcmp(names, "all") == 0) return add_all(p, error);
    char list[1024], *rest = NULL;
    if (!sp_text_copy(list, sizeof list, names))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the names in --row are too long");
    for (char *name = strtok_r(list, ",", &rest); name != NULL; name = strtok_r(NULL, ",", &rest))
        if (!add_panel(p, &p->first, name, 0, NULL, error)) return false;
    return p->count >= 2 || sp_fail(error, SP_ERROR_ARGUMENT,
                                    "'--row %s': name two moments or more, with commas between "
                                    "them, or all",
                                    names);
}

/* The day tells two reviews apart, where they have one and it is not the same. */
static const char *whose_of(const plan *p, bool second) {
    const char *a = sp_review_get_reviewed(p->first.review);
    const char *b = sp_review_get_reviewed(p->second.review);
    if (a[0] != '\0' && b[0] != '\0' && strcmp(a, b) != 0) return second ? b : a;
    return second ? "second review" : "first review";
}

static bool add_first(const cli_call *call, plan *p, sp_error *error) {
    const char *moment = cli_value(call, "moment");
    long long frame = 0;
    if ((moment == NULL) == !cli_given(call, "frame"))
        return sp_fail(error, SP_ERROR_ARGUMENT, "name one frame: --moment drop, or --frame 168");
    const char *whose = p->second.review == NULL ? NULL : whose_of(p, false);
    return cli_integer(call, "frame", 0, INT_MAX, &frame, error) &&
           add_panel(p, &p->first, moment, (int)frame, whose, error);
}

static bool check_call(const cli_call *call, sp_error *error) {
    const int ways = cli_given(call, "row") + cli_given(call, "beside") + cli_given(call, "other");
    if (ways > 1)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "--row, --beside and --other exclude each other; give one");
    if (cli_given(call, "row") && (cli_given(call, "moment") || cli_given(call, "frame")))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "--row names its moments itself; leave out --moment and --frame");
    if (cli_given(call, "other") && !cli_given(call, "moment"))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "two reviews are compared at a moment both name: --moment drop");
    return cli_value(call, "output") != NULL ||
           sp_fail(error, SP_ERROR_ARGUMENT, "say where the picture goes: -o drop.png");
}

static bool choose(const cli_call *call, plan *p, sp_error *error) {
    if (cli_given(call, "row")) return add_row(p, cli_value(call, "row"), error);
    if (!add_first(call, p, error)) return false;
    if (cli_given(call, "beside"))
        return add_panel(p, &p->first, cli_value(call, "beside"), 0, NULL, error);
    return !cli_given(call, "other") ||
           add_panel(p, &p->second, cli_value(call, "moment"), 0, whose_of(p, true), error);
}

/* What may be sent of the frame or moment stands below the picture. */
static bool write_one(const plan *p, sp_still_options *options, const char *output,
                      sp_error *error) {
    sp_checks *checks = cli_checks(error);
    sp_findings *findings =
        checks == NULL
            ? NULL
            : sp_findings_new(checks, p->first.review, p->first.readout, options->units, error);
    options->findings = findings;
    const bool good = findings != NULL && sp_still_write(p->first.clip, p->first.review,
                                                         p->first.readout, options, output, error);
    sp_findings_free(findings);
    sp_checks_free(checks);
    return good;
}

static bool write(const cli_call *call, const plan *p, sp_units units, sp_error *error) {
    const sp_overlay_path path = cli_given(call, "path") ? SP_PATH_TO_CONTACT : SP_PATH_NONE;
    const char *output = cli_value(call, "output");
    if (p->count > 1) {
        const sp_panels_options options = {.units = units, .path = path};
        return sp_panels_write(p->panels, p->count, &options, output, error);
    }
    sp_still_options options = {
        .frame = p->panels[0].frame, .moment = p->panels[0].moment, .units = units, .path = path};
    return write_one(p, &options, output, error);
}

static int run_still(const cli_call *call) {
    sp_error error = {0};
    sp_units units;
    plan p = {.count = 0};
    const bool good = check_call(call, &error) && cli_units(call, &units, &error) &&
                      cli_open(call->operand, NULL, &p.first, &error) &&
                      (!cli_given(call, "other") ||
                       cli_open(cli_value(call, "other"), NULL, &p.second, &error)) &&
                      choose(call, &p, &error) && write(call, &p, units, &error);
    cli_close(&p.first);
    cli_close(&p.second);
    if (!good) return cli_fail(&error);
    printf("%s\n", cli_value(call, "output"));
    return cli_done();
}

const cli_command cli_still = {
    .name = "still",
    .operand = "REVIEW",
    .summary = "a picture of a moment with points, angles, plumb and gap, or of several",
    .options = {{"moment", 0, "NAME",
                 "release, trophy, drop, contact, bounce, finish, or your own"},
                {"frame", 0, "N", "a frame by its number instead"},
                {"beside", 0, "NAME", "a second moment of the same serve, beside the first"},
                {"other", 0, "REVIEW", "the same moment of another review, at the same scale"},
                {"row", 0, "NAMES",
                 "two to six moments of the serve, as trophy,drop,contact; or all"},
                {"path", 0, NULL, "draw the way of the racquet's tip up to contact"},
                {"output", 'o', "FILE", "where to write it: .png, or .pdf"},
                {"units", 0, "UNITS", "metric (default) or imperial"}},
    .run = run_still,
};
