/* Serve speeds by day, and what may be concluded from two days. */
#ifndef SERVEPLUMB_SPEED_DAYS_H
#define SERVEPLUMB_SPEED_DAYS_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/compare.h"
#include "serveplumb/error.h"
#include "serveplumb/readout.h"
#include "serveplumb/speeds.h"
#include "serveplumb/statistics.h"

typedef struct {
    char date[SP_SPEED_DATE_SIZE];
    const double *values;             /* m/s, in the order in which they were written; borrowed */
    sp_summary summary;               /* m/s; `most` is the best */
    sp_interval mean;                 /* 95 % by Student's t; ends NAN of one */
    char device[SP_SPEED_DEVICE_MAX]; /* "" none said, or several */
    bool devices_differ;
} sp_speed_day;

typedef struct sp_speed_days sp_speed_days;

/* By date, the earliest first. Nothing of the speeds is kept. */
sp_speed_days *sp_speed_days_new(const sp_speeds *speeds, sp_error *error);
void sp_speed_days_free(sp_speed_days *days);
size_t sp_speed_days_count(const sp_speed_days *days);
const sp_speed_day *sp_speed_days_at(const sp_speed_days *days, size_t index);
/* SIZE_MAX when there is none of that date. */
size_t sp_speed_days_find(const sp_speed_days *days, const char *date);

/* Below so many regroupings no p can reach 5 %: three serves against three. */
typedef struct {
    const sp_speed_day *before, *after;
    bool tested;    /* two serves or more on each day, and they vary */
    sp_welch welch; /* m/s */
    sp_permutation permutation;
    sp_interval effect; /* Hedges' g */
    bool differs;       /* by both tests at 5 % */
    char words[480];    /* what was found, in the units asked for */
    char conclude[480]; /* what may be concluded from it and what not: never a cause */
} sp_speed_change;

/* SP_ERROR_MEMORY. The days must outlive the change. */
bool sp_speed_change_of(const sp_speed_day *before, const sp_speed_day *after, sp_units units,
                        sp_speed_change *change, sp_error *error);

/* "110.4 km/h" with so many digits after the point; the unit by `units`. */
void sp_speed_text(double m_per_s, sp_units units, int decimals, char *text, size_t size);

/* A measure and the speed that both changed: "together", with why this is no "because"; "" when one
 * of them did not change. */
void sp_together_text(const sp_change *change, const sp_speed_change *speed, sp_units units,
                      char *text, size_t size);

#endif
