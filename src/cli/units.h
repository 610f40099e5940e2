/* The option --units, the same for every command that prints numbers for people. */
#ifndef SP_CLI_UNITS_H
#define SP_CLI_UNITS_H

#include "cli/call.h"
#include "serveplumb/readout.h"

bool cli_units(const cli_call *call, sp_units *units, sp_error *error);

#endif
