/* How long the whole readout takes: 2,000 draws of every measure of a demo serve, by a line's scale
 * and by the court's. Best of several, by the processor's clock; fails above the budgets. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "serveplumb/readout.h"

enum { TIMES = 7 };
static const double LINE_BUDGET_S = 0.1, COURT_BUDGET_S = 1.0;
static const char *const path = "build/demo/serve-slow.review.json";

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int fail(const sp_error *error) {
    fprintf(stderr, "readout_bench: %s\n", error->message);
    return EXIT_FAILURE;
}

static bool time_it(const sp_review *review, sp_frame_times times, double *best, int *numbers,
                    sp_error *error) {
    *best = 1e9;
    for (int i = 0; i < TIMES; i++) {
        const double start = now();
        sp_readout *readout = sp_readout_new(review, times, NULL, error);
        const double took = now() - start;
        if (readout == NULL) return false;
        *numbers = 0;
        for (size_t k = 0; k < sp_readout_count(readout); k++)
            *numbers += sp_readout_at(readout, k)->status <= SP_STATUS_PROJECTED;
        if (took < *best) *best = took;
        sp_readout_free(readout);
    }
    return true;
}

/* The first scale of the method is taken into use. */
static bool use(sp_review *review, sp_scale_method method, sp_error *error) {
    for (size_t i = 0; i < sp_review_scale_count(review); i++) {
        const sp_scale_entry *entry = sp_review_scale_at(review, i);
        if (entry->method == method) return sp_review_set_active_scale(review, entry->id, error);
    }
    return sp_fail(error, SP_ERROR_ARGUMENT, "%s has no such scale", path);
}

static bool bench(sp_review *review, sp_frame_times times, sp_scale_method method, const char *name,
                  double budget_s, bool *held, sp_error *error) {
    double best;
    int numbers;
    if (!use(review, method, error) || !time_it(review, times, &best, &numbers, error))
        return false;
    printf("%-28s %3d numbers of %zu  %7.1f ms (below %g)\n", name, numbers, sp_catalogue_count(),
           1000 * best, 1000 * budget_s);
    *held = *held && best < budget_s;
    return true;
}

int main(void) {
    sp_error error = {0};
    sp_review *review = sp_review_read(path, &error);
    if (review == NULL) return fail(&error);
    const int frames = sp_review_get_clip(review)->frames;
    double *seconds = calloc((size_t)frames, sizeof *seconds);
    for (int i = 0; seconds != NULL && i < frames; i++) seconds[i] = i / 30.0;
    const sp_frame_times times = {seconds, frames};
    bool held = seconds != NULL;
    printf("The whole readout, 2,000 draws, processor time\n");
    const bool done =
        held &&
        bench(review, times, SP_SCALE_LINE, "by a line's scale", LINE_BUDGET_S, &held, &error) &&
        bench(review, times, SP_SCALE_COURT, "by the court's landmarks", COURT_BUDGET_S, &held,
              &error);
    free(seconds);
    sp_review_free(review);
    if (!done) return fail(&error);
    return held ? EXIT_SUCCESS : EXIT_FAILURE;
}
