/* Long work: how far it is, how long it will take, and giving up with Ctrl-C. */
#ifndef SP_CLI_PROGRESS_H
#define SP_CLI_PROGRESS_H

#include <stdbool.h>

/* From here on an interrupt asks the work to end instead of ending the program. */
typedef struct {
    const char *what;
    double started_s, told_s;
    bool shown; /* on a terminal */
} cli_progress;

void cli_progress_begin(cli_progress *progress, const char *what);
/* Shows it on the error stream when that is a terminal. `whom` is a cli_progress. False once the
 * person has interrupted. */
bool cli_progress_tell(void *whom, double share);
/* Clears the line. */
void cli_progress_end(cli_progress *progress);

#endif
