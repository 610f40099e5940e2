/* Long work: how far it is, how long it will take, and giving up with Ctrl-C. */
#ifndef SP_CLI_HOW_FAR_H
#define SP_CLI_HOW_FAR_H

#include <stdbool.h>

/* From here on an interrupt asks the work to end instead of ending the program. */
typedef struct {
    const char *what;
    double started_s, told_s;
    bool shown; /* on a terminal */
} cli_how_far;

void cli_how_far_begin(cli_how_far *work, const char *what);
/* Shows it on the error stream when that is a terminal. `whom` is a cli_how_far. False once the
 * person has interrupted. */
bool cli_how_far_tell(void *whom, double share);
/* Clears the line. */
void cli_how_far_end(cli_how_far *work);

#endif
