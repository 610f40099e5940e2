/* A review with its clip and readout, as most commands need them. */
#ifndef SP_CLI_OPENED_H
#define SP_CLI_OPENED_H

#include "serveplumb/check.h"
#include "serveplumb/review_clip.h"

typedef struct {
    sp_review *review;
    sp_clip *clip;
    sp_readout *readout;
} cli_opened;

/* What it reads out is left to histories. Closes what it had opened on failure. `options` are the
 * clip's, may be NULL. */
bool cli_open(const char *path, const sp_clip_options *options, cli_opened *opened,
              sp_error *error);
void cli_close(cli_opened *opened);

/* A review that is written to `output` must lie beside `review`: the clip is named from there. */
bool cli_beside(const char *review, const char *output, sp_error *error);

/* The checks with the coach's own; a fault in the own file is told on the error stream. */
sp_checks *cli_checks(sp_error *error);

#endif
