#include "cli/units.h"

#include <string.h>

bool cli_units(const cli_call *call, sp_units *units, sp_error *error) {
    const char *word = cli_value(call, "units");
    if (word == NULL || strcmp(word, "metric") == 0) {
        *units = SP_UNITS_METRIC;
    } else if (strcmp(word, "imperial") == 0) {
        *units = SP_UNITS_IMPERIAL;
    } else {
        return sp_fail(error, SP_ERROR_ARGUMENT, "'--units %s': expected metric or imperial", word);
    }
    return true;
}
