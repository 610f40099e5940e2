/* `measure`: the readout of a review. */
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "cli/batch.h"
#include "cli/commands.h"
#include "cli/opened.h"
#include "cli/paths.h"
#include "cli/units.h"

#define NOTES_MAX 64

typedef struct {
    const char *texts[NOTES_MAX];
    int count;
} footnotes;

static bool has_number(const sp_measure *measure) {
    return measure->status == SP_STATUS_OK || measure->status == SP_STATUS_PROJECTED;
}

/* Notes repeat from measure to measure: each is printed once and referred to by its number. */
static int footnote(footnotes *notes, const char *text) {
    if (text[0] == '\0') return 0;
    for (int i = 0; i < notes->count; i++)
        if (strcmp(notes->texts[i], text) == 0) return i + 1;
    if (notes->count == NOTES_MAX) return 0;
    notes->texts[notes->count++] = text;
    return notes->count;
}

static void print_head(const sp_review *review, const sp_readout *readout) {
    printf("%s, seen from the %s, %s-handed", sp_review_get_clip(review)->file,
           sp_view_id(sp_review_get_view(review)), sp_hand_id(sp_review_get_player(review)->hand));
    const double slowdown = sp_review_get_clip(review)->slowdown;
    if (slowdown > 1.0 || slowdown < 1.0) printf(", slowdown %g", slowdown);
    const sp_scale_reading scale = sp_readout_scale(readout);
    if (scale.id[0] != '\0') {
        printf("\nscale '%s': %.3f mm/px (%.3f to %.3f)\n", scale.id, 1000 * scale.m_per_px.value,
               1000 * scale.m_per_px.low, 1000 * scale.m_per_px.high);
    } else {
        printf("\nno scale: lengths and speeds cannot be had\n");
    }
}

/* The scales that are not in use, and what they say of the one that is. */
static void print_scales(const sp_readout *readout) {
    for (size_t i = 0; i < sp_readout_scale_count(readout); i++) {
        const sp_scale_finding *scale = sp_readout_scale_at(readout, i);
        if (strcmp(scale->id, sp_readout_scale(readout).id) == 0) continue;
        if (isnan(scale->m_per_px.value)) {
            printf("scale '%s' cannot be used: %s\n", scale->id, scale->words);
        } else {
            printf("scale '%s', not in use: %.3f mm/px (%.3f to %.3f)\n", scale->id,
                   1000 * scale->m_per_px.value, 1000 * scale->m_per_px.low,
                   1000 * scale->m_per_px.high);
        }
    }
    for (size_t i = 0; i < sp_readout_pair_count(readout); i++)
        printf("%s\n", sp_readout_pair_at(readout, i)->words);
}

static void print_moment_title(const sp_measure *measure, sp_frame_times times, double slowdown) {
    if (measure->kind->moment[0] == '\0') {
        printf("\nbetween moments\n");
    } else if (measure->frame >= 0 && measure->frame < times.count) {
        printf("\n%s  (frame %d, %.3f s)\n", measure->kind->moment, measure->frame,
               times.seconds[measure->frame] / slowdown);
    } else {
        printf("\n%s\n", measure->kind->moment);
    }
}

/* In the order of the catalogue, but each moment's measures together. */
static void print_values(const sp_readout *readout, sp_frame_times times, double slowdown,
                         sp_units units, footnotes *notes) {
    static const char *const moments[] = {"release", "trophy", "drop", "contact",
                                          "bounce",  "finish", ""};
    for (size_t m = 0; m < sizeof moments / sizeof *moments; m++) {
        bool titled = false;
        for (size_t i = 0; i < sp_readout_count(readout); i++) {
            const sp_measure *measure = sp_readout_at(readout, i);
            if (!has_number(measure) || strcmp(measure->kind->moment, moments[m]) != 0) continue;
            if (!titled) print_moment_title(measure, times, slowdown);
            titled = true;
            char text[128];
            sp_measure_text(measure, units, text, sizeof text);
            const int note = footnote(notes, measure->note);
            printf("  %-38s %s", measure->kind->title, text);
            if (note > 0) printf("  [%d]", note);
            printf("\n");
        }
    }
}

static void print_absent(const sp_readout *readout) {
    bool titled = false;
    for (size_t i = 0; i < sp_readout_count(readout); i++) {
        const sp_measure *measure = sp_readout_at(readout, i);
        if (has_number(measure)) continue;
        if (!titled) printf("\nnot measured, and why\n");
        titled = true;
        char name[96];
        snprintf(name, sizeof name, "%s%s%s", measure->kind->title,
                 measure->kind->moment[0] == '\0' ? "" : ", ", measure->kind->moment);
        printf("  %-38s %s%s%s\n", name, sp_status_title(measure->status),
               measure->note[0] == '\0' ? "" : ": ", measure->note);
    }
}

static void print_people(const sp_review *review, const sp_readout *readout, sp_frame_times times,
                         sp_units units) {
    footnotes notes = {0};
    print_head(review, readout);
    print_scales(readout);
    print_values(readout, times, sp_review_get_clip(review)->slowdown, units, &notes);
    for (int i = 0; i < notes.count; i++)
        printf("%s[%d] %s\n", i == 0 ? "\n" : "", i + 1, notes.texts[i]);
    print_absent(readout);
    for (size_t i = 0; i < sp_readout_caution_count(readout); i++)
        printf("%s%s\n", i == 0 ? "\n" : "", sp_readout_caution_at(readout, i));
}

static void print_csv_text(const char *text) {
    sp_text field = {0};
    cli_csv_text(&field, text);
    fputs(sp_text_get(&field), stdout);
    sp_text_clear(&field);
}

static void print_csv(const sp_readout *readout) {
    puts("id,moment,frame,value,low,high,unit,status,note");
    for (size_t i = 0; i < sp_readout_count(readout); i++) {
        const sp_measure *measure = sp_readout_at(readout, i);
        printf("%s,%s,", measure->kind->id, measure->kind->moment);
        if (measure->frame >= 0) printf("%d", measure->frame);
        if (has_number(measure)) {
            printf(",%.9g,%.9g,%.9g", measure->value.value, measure->value.low,
                   measure->value.high);
        } else {
            printf(",,,");
        }
        printf(",%s,%s,", sp_unit_id(measure->kind->unit), sp_status_id(measure->status));
        print_csv_text(measure->note);
        putchar('\n');
    }
}

static bool print_json(const cli_call *call, const sp_review *review, const sp_readout *readout,
                       sp_error *error) {
    char *json = sp_readout_detach_json(readout, review, call->operand, error);
    if (json == NULL) return false;
    puts(json);
    free(json);
    return true;
}

static bool print(const cli_call *call, const cli_opened *opened, sp_units units, sp_error *error) {
    if (cli_given(call, "json")) return print_json(call, opened->review, opened->readout, error);
    if (cli_given(call, "csv"))
        print_csv(opened->readout);
    else
        print_people(opened->review, opened->readout, sp_clip_frame_times(opened->clip), units);
    return true;
}

static int measure_one(const cli_call *call) {
    sp_error error = {0};
    sp_units units;
    cli_opened opened = {0};
    const bool good = cli_units(call, &units, &error) &&
                      cli_open(call->operand, NULL, &opened, &error) &&
                      print(call, &opened, units, &error);
    cli_close(&opened);
    return good ? cli_done() : cli_fail(&error);
}

/* --- many ------------------------------------------------------------------------------------ */
static bool find_many(const cli_call *call, cli_paths *paths, long long *jobs, sp_error *error) {
    if (!cli_given(call, "csv"))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "several reviews are measured as a table: add --csv, one line a review");
    if (!cli_integer(call, "jobs", 1, 256, jobs, error)) return false;
    for (int i = 0; i < call->operand_count; i++)
        if (!cli_paths_add(paths, call->operands[i], error)) return false;
    return true;
}

static int measure_many(const cli_call *call) {
    sp_error error = {0};
    cli_paths paths = {0};
    long long jobs = 0;
    const bool good = find_many(call, &paths, &jobs, &error);
    const int status = good ? cli_batch_measure(&paths, (int)jobs) : cli_fail(&error);
    cli_paths_clear(&paths);
    return status;
}

static int run_measure(const cli_call *call) {
    if (cli_given(call, "json") && cli_given(call, "csv")) {
        sp_error error = {0};
        sp_fail(&error, SP_ERROR_ARGUMENT, "--json and --csv exclude each other; give one");
        return cli_fail(&error);
    }
    const bool many =
        call->operand_count > 1 || cli_given(call, "jobs") || cli_is_folder(call->operand);
    return many ? measure_many(call) : measure_one(call);
}

const cli_command cli_measure = {
    .name = "measure",
    .operand = "REVIEW",
    .operand_repeats = true,
    .operand_most = INT_MAX,
    .summary = "the readout: every measure with its interval, or why not; of folders too",
    .options = {{"json", 0, NULL, "as JSON, in SI units and degrees"},
                {"csv", 0, NULL, "as CSV: of one review a line a measure, of more a line a review"},
                {"jobs", 'j', "N", "reviews at a time; else one for each processor"},
                {"units", 0, "UNITS", "for people: metric (default) or imperial"}},
    .run = run_measure,
};
