/* The built-in checks, compiled in so that they can never be missing. Depends on
 * assets/checks.json, which no dependency file of the compiler tells; the path is from the
 * project's root, where the build runs. */
#include "readout/checks.h"

__asm__(".section .rodata\n"
        ".global sp_checks_builtin\n"
        "sp_checks_builtin:\n"
        ".incbin \"assets/checks.json\"\n"
        ".byte 0\n"
        ".previous\n");
