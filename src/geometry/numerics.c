#include "geometry/numerics.h"

#include <threads.h>

#include <gsl/gsl_errno.h>

static void by_status(void) { gsl_set_error_handler_off(); }

void sp_geometry_by_status(void) {
    static once_flag once = ONCE_FLAG_INIT;
    call_once(&once, by_status);
}
