/* What a clip of a serve shows when nothing is said. */
#ifndef SP_CLI_REEL_DEFAULTS_H
#define SP_CLI_REEL_DEFAULTS_H

#include "cli/opened.h"
#include "serveplumb/reel.h"

/* Frames are wanted once, in order: a small cache hands their memory on. */
#define CLI_REEL_CACHE_BYTES ((size_t)24 << 20)

/* From just before the first moment to just after the last; without moments, the whole clip. Slow
 * and held as usual. */
void cli_reel_defaults(const cli_opened *opened, sp_reel_options *options);

#endif
