/* Court distances by name, from the ITF Rules of Tennis, Rule 1 (metres exact from feet,
 * 1 ft = 0.3048 m). All are to the OUTSIDE of the lines, but to the CENTRE of the centre mark and
 * of the centre service line. One table that the code, the window, the help and the tests read. */
#ifndef SERVEPLUMB_COURT_H
#define SERVEPLUMB_COURT_H

#include <stddef.h>

typedef struct {
    const char *id;    /* for the command line and the file: "baseline_half_singles" */
    const char *name;  /* for people: "baseline, centre mark to singles sideline" */
    const char *edges; /* which edges to tap: "middle of the mark; outer edge of the sideline" */
    double feet;
    double distance_m;
    /* Standard deviation of the true distance, m: ITF CS 04/02 allows 0.1 % (at least 5 mm, 10 mm
     * more where the net is involved), taken as rectangular: half-width / sqrt 3. */
    double sd_m;
} sp_court_distance;

size_t sp_court_distance_count(void);
const sp_court_distance *sp_court_distance_at(size_t index);
/* By id or by name; NULL when there is none. */
const sp_court_distance *sp_court_distance_find(const char *id_or_name);

#endif
