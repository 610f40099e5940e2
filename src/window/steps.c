#include "window/steps.h"

#include <string.h>

#include "window/moments.h"

_Static_assert(SP_POINT_COUNT <= 32, "a point is a bit of an unsigned");
_Static_assert(MOMENT_COUNT <= 8, "each moment has its set of skipped points");

/* Bits of the points that some check of the view looks at in a moment. */
static unsigned checked_points(const session *s, const char *moment) {
    if (s->checks == NULL) return ~0u;
    const unsigned view = SP_VIEW_BIT(sp_review_get_view(s->review));
    unsigned wanted = 0;
    for (size_t i = 0; i < sp_checks_count(s->checks); i++) {
        const sp_check *check = sp_checks_at(s->checks, i);
        sp_point_name points[SP_POINT_COUNT];
        if ((sp_check_get_views(check) & view) == 0) continue;
        size_t count =
            sp_check_points_in(check, moment, sp_review_get_player(s->review)->hand, points);
        while (count > 0) wanted |= 1u << points[--count];
    }
    return wanted;
}

static size_t points_of(const session *s, int frame, bool checked,
                        sp_point_name points[SP_POINT_COUNT]) {
    const sp_moment *moment = moment_on(s->review, frame);
    if (moment == NULL) return 0;
    const unsigned wanted = checked_points(s, moment->name);
    const size_t all = sp_catalogue_points(moment->name, sp_review_get_view(s->review),
                                           sp_review_get_player(s->review)->hand, points);
    size_t count = 0;
    for (size_t i = 0; i < all; i++)
        if ((wanted >> points[i] & 1) == checked) points[count++] = points[i];
    return count;
}

size_t step_points(const session *s, int frame, sp_point_name points[SP_POINT_COUNT]) {
    return points_of(s, frame, true, points);
}

size_t step_more_points(const session *s, int frame, sp_point_name points[SP_POINT_COUNT]) {
    return points_of(s, frame, false, points);
}

size_t step_points_done(const session *s, int frame) {
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = step_points(s, frame, points);
    size_t done = 0;
    for (size_t i = 0; i < count; i++)
        if (sp_review_mark(s->review, frame, points[i], NULL)) done++;
    return done;
}

static int moment_index(const session *s, int frame) {
    for (int i = 0; i < MOMENT_COUNT; i++)
        if (sp_review_moment_frame(s->review, moment_kind_at(i)->name) == frame) return i;
    return -1;
}

void step_skip(session *s, int frame, sp_point_name point, bool skip) {
    const int moment = moment_index(s, frame);
    if (moment < 0) return;
    if (skip)
        s->skipped[moment] |= 1u << point;
    else
        s->skipped[moment] &= ~(1u << point);
}

bool step_skipped(const session *s, int frame, sp_point_name point) {
    const int moment = moment_index(s, frame);
    return moment >= 0 && (s->skipped[moment] >> point & 1) != 0;
}

static bool is_due(const session *s, int frame, sp_point_name point) {
    return !sp_review_mark(s->review, frame, point, NULL) && !step_skipped(s, frame, point);
}

size_t step_points_due(const session *s, int frame) {
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = step_points(s, frame, points);
    size_t due = 0;
    for (size_t i = 0; i < count; i++)
        if (is_due(s, frame, points[i])) due++;
    return due;
}

size_t step_point_number(const session *s, int frame) {
    sp_point_name points[SP_POINT_COUNT];
    return step_points(s, frame, points) - step_points_due(s, frame) + 1;
}

static bool missing_point(const session *s, int frame, sp_point_name *point) {
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = step_points(s, frame, points);
    for (size_t i = 0; i < count; i++) {
        if (!is_due(s, frame, points[i])) continue;
        *point = points[i];
        return true;
    }
    return false;
}

/* First the moments that some measure is taken at, in the order of a serve. */
static bool missing_moment(const session *s, step *next) {
    for (int i = 0; i < MOMENT_COUNT; i++) {
        const char *name = moment_kind_at(i)->name;
        if (sp_review_moment_frame(s->review, name) >= 0) continue;
        if (!moment_asked(name, sp_review_get_view(s->review))) continue;
        *next = (step){.kind = STEP_MOMENT, .moment = i};
        return true;
    }
    return false;
}

bool steps_moments_named(const session *s) {
    step next;
    return !missing_moment(s, &next);
}

static bool unfinished_moment(const session *s, step *next) {
    for (int i = 0; i < MOMENT_COUNT; i++) {
        const int frame = sp_review_moment_frame(s->review, moment_kind_at(i)->name);
        sp_point_name point;
        if (frame < 0 || !missing_point(s, frame, &point)) continue;
        *next = (step){.kind = STEP_GO, .moment = i, .frame = frame, .point = point};
        return true;
    }
    return false;
}

step step_next(const session *s, int frame) {
    step next = {.kind = STEP_OPEN};
    if (s->clip == NULL) return next;
    if (s->moved) return (step){.kind = STEP_RELINK};
    if (!s->who) return (step){.kind = STEP_WHO};
    if (session_asks_speed(s)) return (step){.kind = STEP_SPEED};
    /* What is due on the frame in view goes first: nobody is sent away from it half done. */
    if (missing_point(s, frame, &next.point)) {
        next.kind = STEP_POINT;
        return next;
    }
    if (missing_moment(s, &next) || unfinished_moment(s, &next)) return next;
    next.kind = sp_review_active_scale(s->review) == NULL ? STEP_SCALE : STEP_READ;
    return next;
}
