/* Which coding a clip gets, by the ending of its name. */
#ifndef SP_CLI_CODING_H
#define SP_CLI_CODING_H

#include "cli/call.h"
#include "serveplumb/encoder.h"

/* Of the option --output, which must be given. */
bool cli_coding(const cli_call *call, sp_coding *coding, sp_error *error);

#endif
