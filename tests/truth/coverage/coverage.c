/* coverage [--serves N] [--seed N] [--least PERCENT --most PERCENT]
 *          [--rate FRAMES/S] [--taps PX] [--view 0 side, 1 back, 2 front] [--large 1]
 * coverage --pairs N [--day SERVES] [--wobble SHARE] [--same 1] [--court 1] ...: pairs.h
 *
 * How often the stated 95 % intervals hold the truth, over simulated serves with random cameras,
 * bodies, hands, drops, frame rates and taps: by a line's scale and by the court's, for every
 * measure that is ever `ok`. The serves are those of the demo generator, an independent model.
 * Fails when a measure's share is outside the given limits (93 to 97; with few serves the limits
 * widen by what chance allows). */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "pairs.h"
#include "tapping.h"

enum { DRAWS = 500, TRUTHS = 16, BY_LINE = 0, BY_COURT = 1 };

typedef struct {
    const char *id, *moment;
    bool judged; /* held against the limits; else shown for comparison */
    double value;
} truth;

typedef struct {
    int given, held;
    double *errors, *widths;
} tally;

static double ball_apex(const scene *s) {
    double low = s->serve.release_time, high = 0.0;
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        if (scene_velocity(s, middle, AT_BALL).z > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return scene_point(s, low, AT_BALL).z;
}

/* On a frame each point is where it is when its row is read. */
static double height(const scene *s, int frame, body_point point) {
    spot seen = {0.0, 0.0};
    double when = scene_time(s, frame);
    for (int i = 0; i < 20; ++i) {
        camera_sees(&s->camera, scene_point(s, when, point), &seen);
        when = scene_time(s, frame) + seen.y / s->camera.height * s->camera.row_time;
    }
    return scene_point(s, when, point).z;
}

static double planar_speed(const scene *s, body_point point) {
    const vector v = scene_velocity(s, -1e-9, point);
    return hypot(dot(v, scene_along(s)), v.z);
}

static int truths_of(const scene *s, const tapping *t, truth list[TRUTHS]) {
    const int drop = t->at.drop, contact = s->contact;
    const double elbow = height(s, drop, AT_HIT_ELBOW), tip = height(s, drop, AT_RACQUET_TIP);
    const double hips = 0.5 * (height(s, drop, AT_HIT_HIP) + height(s, drop, AT_OFF_HIP));
    const double ball = height(s, contact, AT_BALL), apex = ball_apex(s);
    const double release = s->serve.release_time, lowest = s->serve.drop_time;
    const truth all[] = {
        {"hand_elbow_gap", "drop", true, height(s, drop, AT_HIT_HAND) - elbow},
        {"tip_height_at_drop", "drop", true, tip - elbow},
        {"tip_height_to_hips", "drop", true, tip - hips},
        {"contact_height", "contact", true, ball},
        {"contact_height_ratio", "contact", true, ball / s->serve.motion.physique.stature_m},
        {"toss_apex", "release", true, apex - height(s, t->at.release, AT_BALL)},
        {"toss_drop_to_contact", "contact", true, apex - scene_point(s, -1e-9, AT_BALL).z},
        {"release_to_trophy", "", true, TROPHY_TIME - release},
        {"trophy_to_drop", "", true, lowest - TROPHY_TIME},
        {"drop_to_contact", "", true, -lowest},
        {"upswing_to_drop_time", "", true, -lowest / (lowest - TROPHY_TIME)},
        {"ball_speed_flight", "contact", true, length(scene_velocity(s, 1e-9, AT_BALL))},
        {"racquet_head_speed", "contact", false, planar_speed(s, AT_RACQUET_TIP)},
    };
    memcpy(list, all, sizeof all);
    return (int)(sizeof all / sizeof *all);
}

/* --- counting -------------------------------------------------------------------------------- */

static void count(tally *c, const truth *t, const sp_measure *m) {
    if (m == NULL || isnan(m->value.value)) return;
    c->held += m->value.low <= t->value && t->value <= m->value.high;
    c->errors[c->given] = m->value.value - t->value;
    c->widths[c->given++] = (m->value.high - m->value.low) / 2.0;
}

static sp_readout *read_by(const scene *s, const tapping *t, const char *scale, uint64_t seed) {
    double *seconds = calloc((size_t)s->frames, sizeof *seconds);
    for (int i = 0; seconds != NULL && i < s->frames; ++i) seconds[i] = i / s->rate;
    const sp_readout_options options = {.draws = DRAWS, .seed = seed};
    sp_error error = {0};
    sp_readout *readout = NULL;
    if (seconds != NULL && sp_review_set_active_scale(t->review, scale, &error))
        readout = sp_readout_new(t->review, (sp_frame_times){seconds, s->frames}, &options, &error);
    if (readout == NULL) fprintf(stderr, "%s: %s\n", scale, error.message);
    free(seconds);
    return readout;
}

typedef struct {
    truth names[TRUTHS];
    int count, serves, courts, refused;
    tally all[2][TRUTHS];
    /* at 240 frames/s with a court: absolute errors of the gap (m), the tip's speed (relative) */
    double *gap[2], *speed[2];
    int gaps[2], speeds[2];
} study;

static void take_median(study *st, const scene *s, int by, const truth *list,
                        const sp_readout *readout) {
    if (s->rate < 220.0) return;
    const sp_measure *gap = sp_readout_find(readout, "hand_elbow_gap", "drop");
    const sp_measure *speed = sp_readout_find(readout, "racquet_head_speed", "contact");
    if (!isnan(gap->value.value))
        st->gap[by][st->gaps[by]++] = fabs(gap->value.value - list[0].value);
    if (!isnan(speed->value.value))
        st->speed[by][st->speeds[by]++] =
            fabs(speed->value.value / list[st->count - 1].value - 1.0);
}

static void study_serve(study *st, scene *s, tapping *t, uint64_t seed) {
    static const char *const scales[] = {"line", "court"};
    truth list[TRUTHS];
    st->count = truths_of(s, t, list);
    memcpy(st->names, list, sizeof list);
    st->serves++;
    st->courts += t->has_court;
    for (int by = BY_LINE; by <= (t->has_court ? BY_COURT : BY_LINE); ++by) {
        sp_readout *readout = read_by(s, t, scales[by], seed);
        if (readout == NULL) exit(EXIT_FAILURE);
        if (by == BY_COURT && sp_readout_scale(readout).id[0] == '\0') {
            st->refused++;
            if (getenv("COVERAGE_TELL") != NULL)
                fprintf(stderr, "%s\n", sp_readout_scale_at(readout, 1)->words);
        }
        for (int i = 0; i < st->count; ++i)
            count(&st->all[by][i], &list[i], sp_readout_find(readout, list[i].id, list[i].moment));
        if (t->has_court) take_median(st, s, by, list, readout);
        sp_readout_free(readout);
    }
}

/* --- telling --------------------------------------------------------------------------------- */

static int ascending(const void *a, const void *b) {
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values, int count) {
    qsort(values, (size_t)count, sizeof *values, ascending);
    return count == 0 ? NAN : values[count / 2];
}

static double mean(const double *values, int count) {
    double sum = 0.0;
    for (int i = 0; i < count; ++i) sum += values[i] / count;
    return sum;
}

typedef struct {
    double least, most; /* percent */
} limits;

/* Two and a half deviations of what so many serves scatter about 95 %. */
static bool tell(const study *st, int by, limits within) {
    bool good = true;
    printf("\n%s\n%-24s %6s %8s %12s %12s %12s\n",
           by == BY_LINE ? "by a line's scale" : "by the court's landmarks", "measure", "given",
           "held", "mean error", "median error", "half width");
    for (int i = 0; i < st->count; ++i) {
        const tally *c = &st->all[by][i];
        if (c->given == 0) continue;
        const double share = 100.0 * c->held / c->given;
        const double chance = 250.0 * sqrt(0.95 * 0.05 / c->given);
        const bool inside =
            share >= within.least - chance + 1.7 && share <= within.most + chance - 1.7;
        const double bias = mean(c->errors, c->given);
        for (int k = 0; k < c->given; ++k) c->errors[k] = fabs(c->errors[k]);
        printf("%-24s %6d %7.1f%% %12.4g %12.4g %12.4g%s\n", st->names[i].id, c->given, share, bias,
               median(c->errors, c->given), median(c->widths, c->given),
               !st->names[i].judged ? "  (projected)"
               : inside             ? ""
                                    : "  OUTSIDE");
        good = good && (inside || !st->names[i].judged);
    }
    return good;
}

static void tell_medians(const study *st) {
    static const char *const names[] = {"line", "court"};
    printf("\nat 240 frames/s, on the same clips: median errors\n");
    for (int by = BY_LINE; by <= BY_COURT; ++by)
        printf("%-8s gap %.1f mm (%d clips), racquet tip's planar speed %.1f %% (%d clips)\n",
               names[by], 1000.0 * median(st->gap[by], st->gaps[by]), st->gaps[by],
               100.0 * median(st->speed[by], st->speeds[by]), st->speeds[by]);
}

static bool make_room(study *st, int serves) {
    bool room = true;
    for (int by = BY_LINE; by <= BY_COURT; ++by) {
        st->gap[by] = calloc((size_t)serves, sizeof(double));
        st->speed[by] = calloc((size_t)serves, sizeof(double));
        room = room && st->gap[by] != NULL && st->speed[by] != NULL;
        for (int i = 0; i < TRUTHS; ++i) {
            st->all[by][i].errors = calloc((size_t)serves, sizeof(double));
            st->all[by][i].widths = calloc((size_t)serves, sizeof(double));
            room = room && st->all[by][i].errors != NULL && st->all[by][i].widths != NULL;
        }
    }
    return room;
}

static void clear(study *st) {
    for (int by = BY_LINE; by <= BY_COURT; ++by) {
        free(st->gap[by]);
        free(st->speed[by]);
        for (int i = 0; i < TRUTHS; ++i) {
            free(st->all[by][i].errors);
            free(st->all[by][i].widths);
        }
    }
}

static double option(int count, char **words, const char *name, double otherwise) {
    for (int i = 1; i + 1 < count; ++i)
        if (strcmp(words[i], name) == 0) return strtod(words[i + 1], NULL);
    return otherwise;
}

static int study_pairs(int count, char **words, const fixed *set) {
    const pairs_options options = {.pairs = (int)option(count, words, "--pairs", 0),
                                   .serves = (int)option(count, words, "--day", 3),
                                   .seed = (uint64_t)option(count, words, "--seed", 20270314),
                                   .wobble = option(count, words, "--wobble", 0.2),
                                   .set = *set,
                                   .same_camera = option(count, words, "--same", 0) > 0,
                                   .court = option(count, words, "--court", 0) > 0,
                                   .most = option(count, words, "--most", 5),
                                   .least = option(count, words, "--least", 95)};
    return pairs_study(&options) ? EXIT_SUCCESS : EXIT_FAILURE;
}

int main(int count, char **words) {
    const int serves = (int)option(count, words, "--serves", 1000);
    const uint64_t seed = (uint64_t)option(count, words, "--seed", 20270314);
    const limits within = {option(count, words, "--least", 93), option(count, words, "--most", 97)};
    const fixed set = {.rate = option(count, words, "--rate", 0),
                       .tap_sd = option(count, words, "--taps", 0),
                       .view = (int)option(count, words, "--view", -1),
                       .large = option(count, words, "--large", 0) > 0};
    if (option(count, words, "--pairs", 0) > 0) return study_pairs(count, words, &set);
    static study st;
    static scene s;
    if (serves < 1 || !make_room(&st, serves)) return EXIT_FAILURE;
    for (uint64_t n = 0; st.serves < serves && n < 20 * (uint64_t)serves; ++n) {
        tapping t;
        if (!scene_new(&s, seed + 7919 * n, &set) || !tapping_make(&s, &t)) continue;
        study_serve(&st, &s, &t, n + 1);
        sp_review_free(t.review);
    }
    printf("%d serves, %d with a court in the picture, of which %d poses were refused\n", st.serves,
           st.courts, st.refused);
    const bool line = tell(&st, BY_LINE, within), court = tell(&st, BY_COURT, within);
    tell_medians(&st);
    clear(&st);
    return line && court ? EXIT_SUCCESS : EXIT_FAILURE;
}
