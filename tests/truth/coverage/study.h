/* Many simulated serves, each read by a line's scale and, where it is seen, by the court's. */
#ifndef COVERAGE_STUDY_H
#define COVERAGE_STUDY_H

#include "truths.h"

enum { BY_LINE, BY_COURT, BY_COUNT };

/* One measure of one serve. */
typedef struct {
    int serve, view, by, row; /* row of truths_of() */
    bool projected, has_court;
    double rate, truth, cast, value, low, high;
} record;

typedef struct {
    int serves, courts, refused; /* with a court in the picture; its pose refused */
    int row_count;
    truth rows[TRUTHS_MAX]; /* ids and moments */
    record *records;
    size_t count;
} study;

/* `serves` of them from `seed` on, shared among processes; the same whatever the machine. False
 * without memory or with a fault that standard error tells. */
bool study_run(study *study, int serves, uint64_t seed, const fixed *set);
void study_free(study *study);

#endif
