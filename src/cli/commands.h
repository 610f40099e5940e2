/* The commands: one table that the dispatch, the help and the tests read; one file a command. */
#ifndef SP_CLI_COMMANDS_H
#define SP_CLI_COMMANDS_H

#include "cli/call.h"

extern const cli_command cli_facts, cli_frames, cli_new, cli_validate, cli_measure, cli_check,
    cli_repeat, cli_still, cli_clip, cli_talk, cli_report, cli_export, cli_import, cli_carry,
    cli_compare, cli_speeds, cli_progress, cli_help;

/* NULL-terminated, in the order of the help. */
extern const cli_command *const cli_commands[];
const cli_command *cli_command_find(const char *name);

#endif
