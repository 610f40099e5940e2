/* The door of the command line. */
#ifndef SERVEPLUMB_CLI_H
#define SERVEPLUMB_CLI_H

#include <stdbool.h>

/* Whether the words after the program's name are for the command line: a command's name, or an
 * option such as --help. Else they name a clip or review for the window. */
bool sp_cli_wants(int count, char **words);

/* Runs the command; prints to the standard streams; gives the exit status: 0 done, 1 failed,
 * 2 called wrongly. */
int sp_cli_run(int count, char **words);

#endif
