#include "carry/length.h"

#include <math.h>

/* The greatest length that was tapped, and some more since each may be turned away, stands for the
 * true one where none is told. */
#define LENGTH_MORE 1.1
double carry_length_px(const sp_carry_job *job) {
    if (job->length_px > 0) return job->length_px;
    double most = 0;
    for (size_t i = 0; i < job->tap_count; i++) {
        const sp_carry_partner *p = &job->partner[job->taps[i].frame];
        if (p->there) most = fmax(most, sp_point_distance(p->at, job->taps[i].at));
    }
    return LENGTH_MORE * most;
}

/* A racquet bends and a forearm is not a line: by this part of the length. */
#define LENGTH_GIVES 0.02

/* Turned out of the picture a length looks shorter, never longer than it is. */
void carry_length_measure(const sp_carry_job *job, int n, double tap_sd, double length,
                          carry_evidence *e) {
    const sp_carry_partner *p = &job->partner[n];
    if (!p->there) return;
    e->measured = true;
    e->partner = p->at;
    e->length = length;
    e->length_sd = hypot(hypot(p->sd_px, tap_sd), LENGTH_GIVES * length);
}
