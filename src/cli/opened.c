#include "cli/opened.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "serveplumb/history.h"

void cli_close(cli_opened *opened) {
    sp_readout_free(opened->readout);
    sp_clip_close(opened->clip);
    sp_review_free(opened->review);
    *opened = (cli_opened){0};
}

static bool open_all(const char *path, const sp_clip_options *options, cli_opened *opened,
                     sp_error *error) {
    char clip[PATH_MAX];
    sp_clip_stamp stamp = {.size = 0};
    opened->review = sp_review_read(path, error);
    if (opened->review == NULL) return false;
    if (sp_review_clip_path(opened->review, path, clip, sizeof clip))
        stamp = sp_clip_stamp_of(clip);
    opened->clip = sp_review_open_clip(opened->review, path, options, error);
    if (opened->clip == NULL) return false;
    opened->readout =
        sp_readout_new(opened->review, sp_clip_frame_times(opened->clip), NULL, error);
    if (opened->readout == NULL) return false;
    sp_history_leave(opened->review, path, &stamp, opened->readout);
    return true;
}

bool cli_open(const char *path, const sp_clip_options *options, cli_opened *opened,
              sp_error *error) {
    *opened = (cli_opened){0};
    const bool good = open_all(path, options, opened, error);
    if (!good) cli_close(opened);
    return good;
}

sp_checks *cli_checks(sp_error *error) {
    char own[PATH_MAX];
    sp_error fault = {0};
    sp_checks *checks =
        sp_checks_new(sp_checks_own_path(own, sizeof own) ? own : NULL, &fault, error);
    if (fault.code != SP_ERROR_NONE) fprintf(stderr, "serveplumb: %s\n", fault.message);
    return checks;
}

/* The folder of a path that need not be there itself. */
static bool folder_of(const char *path, char real[PATH_MAX]) {
    char folder[PATH_MAX];
    if (!sp_text_copy(folder, sizeof folder, path)) return false;
    char *slash = strrchr(folder, '/');
    if (slash == NULL) return realpath(".", real) != NULL;
    *(slash == folder ? slash + 1 : slash) = '\0';
    return realpath(folder, real) != NULL;
}

bool cli_beside(const char *review, const char *output, sp_error *error) {
    char from[PATH_MAX], to[PATH_MAX];
    return (folder_of(review, from) && folder_of(output, to) && strcmp(from, to) == 0) ||
           sp_fail(error, SP_ERROR_ARGUMENT,
                   "'-o %s': the new review must lie in the folder of '%s', where its clip is "
                   "found",
                   output, review);
}
