#include "serveplumb/error.h"

#include <stdarg.h>
#include <stdio.h>

bool sp_fail(sp_error *error, sp_error_code code, const char *format, ...) {
    if (error == NULL) return false;
    error->code = code;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(error->message, sizeof error->message, format, arguments);
    va_end(arguments);
    return false;
}
