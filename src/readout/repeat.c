#include "serveplumb/repeat.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "kinematics/typical_error.h"

/* Farther apart than so many typical errors of the others a pair is hardly the same point twice:
 * chance gives it one time in a million. */
static const double TOO_FAR = 7;

/* --- one point ------------------------------------------------------------------------------- */
typedef struct {
    double sum_x, sum_y, squares_x, squares_y;
} sums;

static bool both_tapped(const sp_review *first, const sp_review *second, int frame,
                        sp_point_name name, sp_point *difference) {
    sp_mark one, two;
    if (!sp_review_mark(first, frame, name, &one) || !sp_review_mark(second, frame, name, &two) ||
        one.by != SP_BY_TAP || two.by != SP_BY_TAP)
        return false;
    *difference = sp_point_subtract(two.at, one.at);
    return true;
}

static void add_pair(sp_repeat_error *error, sums *s, sp_point difference, int frame,
                     sp_point_name name) {
    s->sum_x += difference.x;
    s->sum_y += difference.y;
    s->squares_x += difference.x * difference.x;
    s->squares_y += difference.y * difference.y;
    error->pairs++;
    const double far = sp_point_length(difference);
    if (error->farthest_frame >= 0 && far <= error->farthest_px) return;
    error->farthest_px = far;
    error->farthest_frame = frame;
    error->farthest_of = name;
}

static double squares_about_mean(const sums *s, size_t pairs) {
    const double n = (double)pairs;
    return fmax(0, s->squares_x - s->sum_x * s->sum_x / n) +
           fmax(0, s->squares_y - s->sum_y * s->sum_y / n);
}

static double compare_point(const sp_review *first, const sp_review *second, sp_point_name name,
                            sp_repeat_error *error) {
    sums s = {0};
    *error = (sp_repeat_error){.farthest_frame = -1, .farthest_of = name};
    for (size_t i = 0; i < sp_review_marked_count(first); i++) {
        const int frame = sp_review_marked_frame(first, i);
        sp_point difference;
        if (both_tapped(first, second, frame, name, &difference))
            add_pair(error, &s, difference, frame, name);
    }
    error->shift_px = (sp_point){s.sum_x / (double)error->pairs, s.sum_y / (double)error->pairs};
    error->freedom = error->pairs < 2 ? 0 : 2 * ((int)error->pairs - 1);
    const double squares = error->pairs < 2 ? 0 : squares_about_mean(&s, error->pairs);
    error->typical_px = sp_repeat_typical(squares, error->freedom);
    return squares;
}

/* --- all ------------------------------------------------------------------------------------- */
static void pool(sp_repeat *repeat, const double squares[SP_POINT_COUNT]) {
    sp_repeat_error *all = &repeat->pooled;
    double sum = 0;
    *all = (sp_repeat_error){.farthest_frame = -1, .shift_px = {NAN, NAN}};
    for (int i = 0; i < SP_POINT_COUNT; i++) {
        const sp_repeat_error *point = &repeat->points[i];
        sum += squares[i];
        all->pairs += point->pairs;
        all->freedom += point->freedom;
        if (point->farthest_frame < 0 ||
            (all->farthest_frame >= 0 && point->farthest_px <= all->farthest_px))
            continue;
        all->farthest_px = point->farthest_px;
        all->farthest_frame = point->farthest_frame;
        all->farthest_of = point->farthest_of;
    }
    all->typical_px = sp_repeat_typical(sum, all->freedom);
}

/* Against the others, which one wild pair does not widen. */
static void doubt_farthest(sp_repeat *repeat, const double squares[SP_POINT_COUNT]) {
    const sp_repeat_error *all = &repeat->pooled, *of = &repeat->points[all->farthest_of];
    double others = 0;
    repeat->doubt[0] = '\0';
    for (int i = 0; i < SP_POINT_COUNT; i++)
        if (i != (int)all->farthest_of) others += squares[i];
    const double typical = sp_repeat_typical(others, all->freedom - of->freedom).value;
    if (!(all->farthest_px > TOO_FAR * typical * sqrt(2))) return;
    snprintf(repeat->doubt, sizeof repeat->doubt,
             "The two taps of the %s on frame %d lie %.0f px apart, the others %.1f px: is one of "
             "them another point? Tap it anew, or take it out of one of the two.",
             sp_point_title(all->farthest_of), all->farthest_frame, all->farthest_px,
             typical * sqrt(2));
}

static bool of_one_clip(const sp_review *first, const sp_review *second, sp_error *error) {
    const sp_review_clip *one = sp_review_get_clip(first), *two = sp_review_get_clip(second);
    if (strcmp(one->sha256, two->sha256) == 0) return true;
    return sp_fail(error, SP_ERROR_MISMATCH,
                   "the two reviews are of different clips ('%.60s' and '%.60s'); a second tapping "
                   "is of the same clip",
                   one->file, two->file);
}

bool sp_repeat_compare(const sp_review *first, const sp_review *second, sp_repeat *repeat,
                       sp_error *error) {
    double squares[SP_POINT_COUNT];
    size_t most = 0;
    if (!of_one_clip(first, second, error)) return false;
    for (int i = 0; i < SP_POINT_COUNT; i++) {
        squares[i] = compare_point(first, second, (sp_point_name)i, &repeat->points[i]);
        if (repeat->points[i].pairs > most) most = repeat->points[i].pairs;
    }
    if (most < SP_REPEAT_PAIRS_MIN)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "no point is tapped in both on %d frames or more; tap the same points on "
                       "the same frames again",
                       SP_REPEAT_PAIRS_MIN);
    pool(repeat, squares);
    doubt_farthest(repeat, squares);
    return true;
}

sp_interval sp_repeat_typical(double squares, int freedom) {
    return sp_typical_error_of_squares(squares, freedom);
}

/* --- the twin -------------------------------------------------------------------------------- */
static bool copy_facts(const sp_review *from, sp_review *to, sp_error *error) {
    if (!sp_review_set_player(to, sp_review_get_player(from), error) ||
        !sp_review_set_view(to, sp_review_get_view(from), sp_review_get_net(from), error))
        return false;
    for (size_t i = 0; i < sp_review_moment_count(from); i++) {
        const sp_moment *moment = sp_review_moment_at(from, i);
        if (!sp_review_set_moment(to, moment->name, moment->frame, error)) return false;
    }
    return true;
}

sp_review *sp_repeat_twin(const sp_review *review, sp_error *error) {
    sp_review *twin = sp_review_new(sp_review_get_clip(review), error);
    if (twin != NULL && copy_facts(review, twin, error)) return twin;
    sp_review_free(twin);
    return NULL;
}

bool sp_repeat_twin_path(const char *path, char *twin, size_t size, sp_error *error) {
    static const char ending[] = ".review.json", second[] = ".again";
    size_t stem = strlen(path);
    if (stem > strlen(ending) && strcmp(path + stem - strlen(ending), ending) == 0)
        stem -= strlen(ending);
    if (stem > strlen(second) && strncmp(path + stem - strlen(second), second, strlen(second)) == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.200s' is itself a second tapping; open the first", path);
    const int length = snprintf(twin, size, "%.*s%s%s", (int)stem, path, second, ending);
    if (length > 0 && (size_t)length < size) return true;
    return sp_fail(error, SP_ERROR_ARGUMENT, "'%.200s...': the name is too long; give both files",
                   path);
}
