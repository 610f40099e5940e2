/* A student's history as one HTML file that reads without script and asks no address for anything:
 * what was asked and what came of it, the same moments beside each other, each measure over the
 * days with its intervals, and the speeds. */
#ifndef SERVEPLUMB_HISTORY_PAGE_H
#define SERVEPLUMB_HISTORY_PAGE_H

#include <stdbool.h>

#include "serveplumb/check.h"
#include "serveplumb/history.h"
#include "serveplumb/speed_days.h"

typedef struct {
    sp_units units;
    bool with_name;              /* of the student */
    bool same_camera;            /* it stood and looked the same on all days, as the coach says */
    const sp_speed_days *speeds; /* measured serve speeds; NULL: none */
    bool no_pictures;            /* leave out the moments beside each other */
} sp_history_page_options;

/* Written atomically. Of findings, only those are asked back that were sent. Never says anything of
 * the entry about the shoulder. SP_ERROR_ARGUMENT: a history without a single serve. */
bool sp_history_page_write(const sp_history *history, const sp_checks *checks,
                           const sp_history_page_options *options, const char *path,
                           sp_error *error);

#endif
