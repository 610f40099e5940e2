/* Measures that divide two others: one table. */
#include <assert.h>
#include <string.h>

#include "readout/row.h"

static const sp_quotient QUOTIENTS[] = {
    {"upswing_to_drop_time", "", "drop_to_contact", "trophy_to_drop", "", ""},
    {"tip_speed_kept", "contact", "racquet_head_speed", "racquet_head_speed_peak", "contact",
     "contact"},
    {"ball_to_tip_speed", "contact", "ball_speed_off", "racquet_head_speed", "contact", "contact"},
};

const sp_quotient *sp_quotient_of(const sp_measure_kind *kind) {
    const size_t count = sizeof QUOTIENTS / sizeof QUOTIENTS[0];
    size_t i = 0;
    while (i < count && (strcmp(QUOTIENTS[i].id, kind->id) != 0 ||
                         strcmp(QUOTIENTS[i].moment, kind->moment) != 0))
        i++;
    assert(i < count);
    return &QUOTIENTS[i];
}
