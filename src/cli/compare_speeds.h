/* The serve speeds of the two sides of a comparison. */
#ifndef SP_CLI_COMPARE_SPEEDS_H
#define SP_CLI_COMPARE_SPEEDS_H

#include "serveplumb/speed_days.h"

typedef struct {
    sp_speed_days *days; /* of the two sides */
    sp_speed_change change;
    bool compared;
    char why[200]; /* why not; "" when there are no speeds at all */
} cli_side_speeds;

/* Those in the reviews, and those of the table `csv` (NULL: none) on the days of the reviews. */
bool cli_side_speeds_find(const sp_review *const *before, size_t before_count,
                          const sp_review *const *after, size_t after_count, const char *csv,
                          sp_units units, cli_side_speeds *speeds, sp_error *error);
void cli_side_speeds_clear(cli_side_speeds *speeds);

#endif
