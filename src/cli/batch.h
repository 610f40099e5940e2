/* `measure` over many reviews: one line of CSV for each, on several threads. */
#ifndef SP_CLI_BATCH_H
#define SP_CLI_BATCH_H

#include "base/text.h"
#include "cli/paths.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

/* Prints heads and rows in the order of the paths, whatever order they were done in. Reviews that
 * cannot be measured are told at the end on the error stream, each on a line. `jobs` 0: one for
 * each processor. Gives the exit status. */
int cli_batch_measure(const cli_paths *paths, int jobs);

/* --- rows ------------------------------------------------------------------------------------ */
void cli_row_heads(sp_text *text);
void cli_row(sp_text *text, const char *path, const sp_review *review, const sp_readout *readout);
/* RFC 4180: quotes doubled, the field quoted. */
void cli_csv_text(sp_text *text, const char *field);

#endif
