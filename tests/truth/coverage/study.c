#include "study.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { WORKERS = 2 };

/* What a worker says at the end. */
typedef struct {
    int serves, courts, refused;
} totals;

typedef struct {
    FILE *out;
    size_t draws;
    totals sum;
} worker;

/* --- one serve ------------------------------------------------------------------------------- */
static sp_readout *read_by(const scene *s, const tapping *t, const char *scale,
                           sp_readout_options options) {
    double *seconds = calloc((size_t)s->frames, sizeof *seconds);
    for (int i = 0; seconds != NULL && i < s->frames; ++i) seconds[i] = i / s->rate;
    sp_error error = {0};
    sp_readout *readout = NULL;
    if (seconds != NULL && sp_review_set_active_scale(t->review, scale, &error))
        readout = sp_readout_new(t->review, (sp_frame_times){seconds, s->frames}, &options, &error);
    if (readout == NULL) fprintf(stderr, "%s: %s\n", scale, error.message);
    free(seconds);
    return readout;
}

static bool write_records(const worker *w, const truth *list, int count, const sp_readout *readout,
                          record of) {
    bool good = true;
    for (of.row = 0; of.row < count; ++of.row) {
        const truth *t = &list[of.row];
        const sp_measure *m = sp_readout_find(readout, t->id, t->moment);
        if (m == NULL) fprintf(stderr, "the catalogue has no %s at %s\n", t->id, t->moment);
        if (m == NULL) return false;
        if (isnan(m->value.value)) continue;
        of.projected = m->status == SP_STATUS_PROJECTED;
        of.truth = t->value;
        of.value = m->value.value;
        of.low = m->value.low;
        of.high = m->value.high;
        good = good && fwrite(&of, sizeof of, 1, w->out) == 1;
    }
    return good;
}

static bool study_serve(worker *w, const scene *s, const tapping *t, int number) {
    static const char *const scales[] = {"line", "court"};
    truth list[TRUTHS_MAX];
    w->sum.serves++;
    w->sum.courts += t->has_court;
    for (int by = BY_LINE; by <= (t->has_court ? BY_COURT : BY_LINE); ++by) {
        sp_readout *readout =
            read_by(s, t, scales[by], (sp_readout_options){w->draws, (uint64_t)number + 1});
        if (readout == NULL) return false;
        /* Without its pose a court is read as a level camera sees it. */
        const bool refused = by == BY_COURT && sp_readout_scale(readout).id[0] == '\0';
        w->sum.refused += refused;
        const int count = truths_of(s, t, by == BY_COURT && !refused, list);
        const record of = {.serve = number,
                           .view = s->view,
                           .by = by,
                           .has_court = t->has_court,
                           .cast = truths_cast_speed(s),
                           .rate = s->rate};
        const bool good = write_records(w, list, count, readout, of);
        sp_readout_free(readout);
        if (!good) return false;
    }
    return true;
}

/* --- many ------------------------------------------------------------------------------------ */

/* Every WORKERS-th throw of the dice from `number` on. */
static bool work(worker *w, int number, int serves, uint64_t seed, const fixed *set) {
    static scene s;
    const int wanted = serves / WORKERS + (number < serves % WORKERS);
    for (int n = number; w->sum.serves < wanted && n < 20 * (serves + WORKERS); n += WORKERS) {
        tapping t;
        if (!scene_new(&s, seed + 7919 * (uint64_t)n, set) || !tapping_make(&s, &t)) continue;
        const bool good = study_serve(w, &s, &t, n);
        sp_review_free(t.review);
        if (!good) return false;
    }
    /* A last record of no row carries the totals. */
    record last = {.row = -1, .serve = w->sum.serves, .view = w->sum.courts, .by = w->sum.refused};
    return fwrite(&last, sizeof last, 1, w->out) == 1 && fflush(w->out) == 0;
}

static bool gather(study *st, FILE *in) {
    record one;
    rewind(in);
    while (fread(&one, sizeof one, 1, in) == 1) {
        if (one.row < 0) {
            st->serves += one.serve;
            st->courts += one.view;
            st->refused += one.by;
            continue;
        }
        if ((st->count & (st->count + 1)) == 0) {
            record *more = realloc(st->records, (2 * st->count + 2) * sizeof *more);
            if (more == NULL) return false;
            st->records = more;
        }
        st->records[st->count++] = one;
    }
    return ferror(in) == 0;
}

static bool name_rows(study *st, uint64_t seed) {
    static scene s;
    for (uint64_t n = 0; n < 100; ++n) {
        tapping t;
        const fixed set = {.view = -1};
        if (!scene_new(&s, seed + 7919 * n, &set) || !tapping_make(&s, &t)) continue;
        st->row_count = truths_of(&s, &t, false, st->rows);
        sp_review_free(t.review);
        return true;
    }
    return false;
}

bool study_run(study *st, int serves, uint64_t seed, const fixed *set) {
    FILE *out[WORKERS] = {0};
    pid_t child[WORKERS] = {0};
    bool good = name_rows(st, seed);
    fflush(stdout);
    for (int i = 0; i < WORKERS && good; ++i) {
        out[i] = tmpfile();
        child[i] = out[i] == NULL ? -1 : fork();
        if (child[i] == 0) {
            worker w = {.out = out[i], .draws = set->draws};
            _exit(work(&w, i, serves, seed, set) ? 0 : 1);
        }
        good = child[i] > 0;
    }
    for (int i = 0; i < WORKERS; ++i) {
        int status = 1;
        if (child[i] > 0) good = waitpid(child[i], &status, 0) == child[i] && status == 0 && good;
        if (out[i] == NULL) continue;
        good = gather(st, out[i]) && good;
        fclose(out[i]);
    }
    return good;
}

void study_free(study *st) { free(st->records); }
