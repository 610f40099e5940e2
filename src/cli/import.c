/* `import`: points of other programs, into a new review. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "base/text.h"
#include "cli/commands.h"
#include "cli/opened.h"
#include "serveplumb/marks_exchange.h"

#define IMPORT_BYTES_MAX ((size_t)64 << 20)

/* The clip is named from the review's folder, and no tap of a coach is written over. */
static bool check_output(const cli_call *call, sp_error *error) {
    const char *output = cli_value(call, "output");
    if (output == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "say where the new review goes: -o serve-2.review.json");
    if (access(output, F_OK) == 0)
        return sp_fail(error, SP_ERROR_FILE,
                       "'%s' is there already and is kept; choose another name with -o", output);
    if (!cli_beside(call->operand, output, error)) return false;
    return (cli_given(call, "csv") != cli_given(call, "coco")) ||
           sp_fail(error, SP_ERROR_ARGUMENT, "name one file to read: --csv FILE or --coco FILE");
}

static bool take(const cli_call *call, sp_review *review, size_t *count, sp_error *error) {
    const char *csv = cli_value(call, "csv"), *path = csv != NULL ? csv : cli_value(call, "coco");
    char *text;
    size_t length;
    if (!sp_file_read(path, IMPORT_BYTES_MAX, &text, &length, error)) return false;
    const bool good = csv != NULL ? sp_marks_take_csv(review, text, length, path, count, error)
                                  : sp_marks_take_coco(review, text, length, path, count, error);
    free(text);
    return good;
}

static int run_import(const cli_call *call) {
    sp_error error = {0};
    size_t count = 0;
    sp_review *review = NULL;
    const bool good = check_output(call, &error) &&
                      (review = sp_review_read(call->operand, &error)) != NULL &&
                      take(call, review, &count, &error) &&
                      sp_review_write(review, cli_value(call, "output"), &error);
    sp_review_free(review);
    if (!good) return cli_fail(&error);
    printf("%s\n%zu points set\n", cli_value(call, "output"), count);
    return cli_done();
}

const cli_command cli_import = {
    .name = "import",
    .operand = "REVIEW",
    .summary = "a new review with points from CSV or COCO keypoints set in it",
    .options = {{"csv", 0, "FILE", "as 'export --csv' writes it"},
                {"coco", 0, "FILE", "COCO keypoints as JSON"},
                {"output", 'o', "REVIEW", "where to write it, beside the first"}},
    .run = run_import,
};
