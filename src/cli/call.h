/* One call of a command: its operands and options, checked against the command's own table. */
#ifndef SP_CLI_CALL_H
#define SP_CLI_CALL_H

#include <stdbool.h>

#include "serveplumb/error.h"

#define CLI_OPTIONS_MAX 12
#define CLI_OPERANDS_MAX 8 /* where a command says no other number */

typedef struct {
    const char *name;  /* "moment", for --moment */
    char letter;       /* 'o' for -o; 0: none */
    const char *value; /* what it takes ("FRAME"); NULL: nothing */
    const char *about; /* for the help */
} cli_option;

typedef struct cli_call cli_call;

typedef struct {
    const char *name;
    const char *operand; /* "CLIP", "REVIEW"; NULL: none */
    bool operand_optional;
    bool operand_repeats;                /* up to CLI_OPERANDS_MAX of them */
    int operand_most;                    /* or up to so many; 0: as above */
    const char *summary;                 /* one line for the help */
    cli_option options[CLI_OPTIONS_MAX]; /* ended by one without a name */
    int (*run)(const cli_call *call);    /* gives the exit status */
} cli_command;

struct cli_call {
    const cli_command *command;
    const char *operand; /* the first */
    char **operands;     /* at the front of the words that were given */
    int operand_count;
    const char
        *values[CLI_OPTIONS_MAX]; /* as given; "" for one that takes nothing; NULL: not given */
};

/* The words after the command's name. The error says which word is wrong and how to see the help.
 */
bool cli_call_parse(const cli_command *command, int count, char **words, cli_call *call,
                    sp_error *error);

/* The value of an option of the command's table, NULL when it was not given. */
const char *cli_value(const cli_call *call, const char *option);
bool cli_given(const cli_call *call, const char *option);

/* Numbers: the whole word must be one, finite and within low..high. `number` keeps its value when
 * the option was not given. */
bool cli_number(const cli_call *call, const char *option, double low, double high, double *number,
                sp_error *error);
bool cli_integer(const cli_call *call, const char *option, long long low, long long high,
                 long long *number, sp_error *error);

/* Prints "serveplumb: message" on the error stream; gives the exit status for a failure. */
int cli_fail(const sp_error *error);

/* Flushes the output; a full disk or closed pipe is a failure too. */
int cli_done(void);

#endif
