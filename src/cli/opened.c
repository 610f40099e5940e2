#include "cli/opened.h"

#include <limits.h>
#include <stdio.h>

void cli_close(cli_opened *opened) {
    sp_readout_free(opened->readout);
    sp_clip_close(opened->clip);
    sp_review_free(opened->review);
    *opened = (cli_opened){0};
}

bool cli_open(const char *path, const sp_clip_options *options, cli_opened *opened,
              sp_error *error) {
    *opened = (cli_opened){0};
    const bool good =
        (opened->review = sp_review_read(path, error)) != NULL &&
        (opened->clip = sp_review_open_clip(opened->review, path, options, error)) != NULL &&
        (opened->readout = sp_readout_new(opened->review, sp_clip_frame_times(opened->clip), NULL,
                                          error)) != NULL;
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
