/* `export`: the points for other programs. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "cli/commands.h"
#include "cli/opened.h"
#include "serveplumb/marks_exchange.h"

static bool write_text(const char *path, char *text, sp_error *error) {
    const bool good = text != NULL && sp_file_write(path, text, strlen(text), error);
    free(text);
    if (good) printf("%s\n", path);
    return good;
}

static bool write_all(const cli_call *call, const cli_opened *o, sp_error *error) {
    const char *csv = cli_value(call, "csv"), *coco = cli_value(call, "coco");
    const sp_frame_times times = sp_clip_frame_times(o->clip);
    return (csv == NULL || write_text(csv, sp_marks_detach_csv(o->review, times, error), error)) &&
           (coco == NULL || write_text(coco, sp_marks_detach_coco(o->review, error), error));
}

static int run_export(const cli_call *call) {
    sp_error error = {0};
    cli_opened o = {0};
    if (!cli_given(call, "csv") && !cli_given(call, "coco")) {
        sp_fail(&error, SP_ERROR_ARGUMENT,
                "say where the points go: --csv FILE, --coco FILE, or both");
        return cli_fail(&error);
    }
    const bool good = cli_open(call->operand, NULL, &o, &error) && write_all(call, &o, &error);
    cli_close(&o);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_export = {
    .name = "export",
    .operand = "REVIEW",
    .summary = "the points as CSV or as COCO keypoints (measures: 'measure --csv')",
    .options = {{"csv", 0, "FILE", "a row a point: frame, times, place, deviation"},
                {"coco", 0, "FILE", "COCO keypoints as JSON, an image a marked frame"}},
    .run = run_export,
};
