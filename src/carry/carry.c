/* The whole way: backdrop, both ways through each gap, the smoother over all. */
#include "serveplumb/carry.h"

#include <math.h>
#include <stdlib.h>

#include "carry/ball.h"
#include "carry/join.h"
#include "carry/length.h"
#include "carry/repeats.h"
#include "carry/route.h"

#define REEL_BYTES ((size_t)320 << 20)
/* Half the window's side: a seventieth of the picture's greater side shows a racquet's tip or a
 * joint of a player who fills it. */
#define RADIUS_SHARE 70
#define RADIUS_LEAST 5
/* Above this share of moving pixels it is the camera that moves. */
#define MOVING_MOST 0.35
/* So much of what lies at the taps must move for it to be told from what stands still. */
#define MOVING_LEAST 0.3
/* Frames before and after the span from which the backdrop is learned too. */
#define BACKDROP_MARGIN_S 0.4
/* A point that is not seen is given up when its deviation exceeds this share of the window. */
#define GIVE_UP_RADII 1.5
/* It is seen when the picture leaves at most this part of the doubt that the taps alone leave, or
 * when it is about as sure as a tap. */
#define TOLD_LEAST 0.8
#define SURE_TAPS 1.5
#define AGREES_SDS 3.0
#define AGREES_PX 3.0
/* Taps beyond those about the wanted frames that are taken too, within so many seconds. */
#define MORE_TAPS 2
#define MORE_S 0.3
/* Noise of a tap beside its error that all which begins at it shares, px. */
#define TAP_NOISE 0.1
/* How fast accelerations wander, in picture sides^2/s^5: a racquet and the hand that holds it, the
 * rest of the body; and how far a point may be from that, powers of ten (from simulated serves). */
#define WANDER_SWIFT 1e5
#define WANDER_BODY 1e3
#define WANDER_SD 1.3
/* Points are looked for by their looks where the taps leave more open than this share of the
 * window; usual speeds and accelerations then, picture sides/s and /s^2. */
#define ROUTE_FROM 0.7
#define SPEED_SWIFT 3.0
#define SPEED_BODY 1.0
#define TURNS_SWIFT 25.0
#define TURNS_BODY 10.0

typedef struct {
    const sp_carry_clip *clip;
    const sp_carry_job *job;
    carry_walk walk;
    carry_backdrop backdrop;
    int first, last; /* frames worked on: wanted ones and the taps about them */
    carry_sighting *forward, *backward;
    size_t sightings; /* of either, in use */
    carry_gap *gaps;
    size_t gap_count;
    carry_evidence *evidence;
    carry_smoothed *expected, *smoothed; /* by the taps alone; by all */
    double *alone_sd;                    /* what the taps alone leave */
    /* From `first` on: places that look like the point, where it moves far; frames that repeat the
     * one before; and when what each frame shows was there. */
    carry_sighting *route;
    bool *again;
    double *seconds;
} work;

static const sp_carry_tap *tap_on(const sp_carry_job *job, int frame) {
    for (size_t i = 0; i < job->tap_count; i++)
        if (job->taps[i].frame == frame) return &job->taps[i];
    return NULL;
}

static bool check(const sp_carry_clip *clip, const sp_carry_job *job, sp_error *error) {
    if (job->tap_count == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "there is no tap to carry from; tap the point on two frames first");
    if (job->from < 0 || job->to >= clip->frames || job->from > job->to)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "frames %d to %d are not all in the clip, which has %d; choose others",
                       job->from, job->to, clip->frames);
    for (size_t i = 0; i < job->tap_count; i++) {
        const sp_carry_tap *tap = &job->taps[i];
        if (tap->frame < 0 || tap->frame >= clip->frames ||
            (i > 0 && tap->frame <= job->taps[i - 1].frame))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "the tap on frame %d is out of order or not in the clip", tap->frame);
    }
    return true;
}

/* The tap at or beyond a frame in one direction, and MORE_TAPS further ones while they are near:
 * they tell how the point comes and goes. The frame itself where there is none. */
static int reach(const work *w, int frame, int way) {
    const sp_carry_job *job = w->job;
    int found = frame, count = 0;
    for (size_t k = 0; k < job->tap_count && count <= MORE_TAPS; k++) {
        const sp_carry_tap *tap = &job->taps[way > 0 ? k : job->tap_count - 1 - k];
        if (way * (tap->frame - frame) < 0) continue;
        const double far = fabs(w->clip->seconds[tap->frame] - w->clip->seconds[frame]);
        if (count > 0 && far > MORE_S) break;
        found = tap->frame;
        count++;
    }
    return found;
}

static void span(work *w) {
    w->first = reach(w, w->job->from, -1);
    w->last = reach(w, w->job->to, 1);
}

static size_t frame_count(const work *w) { return (size_t)w->last - (size_t)w->first + 1; }

static bool make_room(work *w, sp_error *error) {
    const size_t count = frame_count(w);
    const size_t gaps = w->job->tap_count + 1;
    w->gaps = calloc(gaps, sizeof *w->gaps);
    w->forward = calloc(count + gaps, sizeof *w->forward);
    w->backward = calloc(count + gaps, sizeof *w->backward);
    w->evidence = calloc(count, sizeof *w->evidence);
    w->smoothed = calloc(count, sizeof *w->smoothed);
    w->expected = calloc(count, sizeof *w->expected);
    w->route = calloc(count, sizeof *w->route);
    w->alone_sd = calloc(count, sizeof *w->alone_sd);
    w->again = calloc(count, sizeof *w->again);
    w->seconds = calloc(count, sizeof *w->seconds);
    w->walk.reel = carry_reel_new(w->clip, REEL_BYTES, error);
    return (w->walk.reel != NULL && w->gaps != NULL && w->forward != NULL && w->backward != NULL &&
            w->evidence != NULL && w->smoothed != NULL && w->expected != NULL && w->again != NULL &&
            w->seconds != NULL && w->alone_sd != NULL && w->route != NULL) ||
           sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
}

static void clear(work *w) {
    carry_backdrop_clear(&w->backdrop);
    carry_reel_free(w->walk.reel);
    free(w->gaps);
    free(w->forward);
    free(w->backward);
    free(w->evidence);
    free(w->smoothed);
    free(w->expected);
    free(w->again);
    free(w->route);
    free(w->alone_sd);
    free(w->seconds);
}

static double sd_of(const carry_smoothed *s) { return sqrt(0.5 * (s->cov[0] + s->cov[2])); }

/* --- what stands still ----------------------------------------------------------------------- */

static bool learn_backdrop(work *w, sp_error *error) {
    const double *seconds = w->clip->seconds;
    int first = w->first, last = w->last;
    while (first > 0 && seconds[w->first] - seconds[first - 1] <= BACKDROP_MARGIN_S) first--;
    while (last + 1 < w->clip->frames && seconds[last + 1] - seconds[w->last] <= BACKDROP_MARGIN_S)
        last++;
    return carry_backdrop_learn(&w->backdrop, w->walk.reel, first, last, error);
}

/* How much moves against the backdrop at a tap; 0 when there is no tap. */
static bool look_at_tap(work *w, const sp_carry_tap *tap, carry_moving *seen, sp_error *error) {
    const uint8_t *luma = carry_reel_luma(w->walk.reel, tap->frame, error);
    if (luma == NULL) return false;
    *seen = carry_backdrop_moving(&w->backdrop, luma, tap->at, w->walk.radius / 3);
    return true;
}

/* The backdrop serves where the camera stands still and the point moves against it at both taps,
 * of which one may be missing. */
static bool choose_look(work *w, const sp_carry_tap *a, const sp_carry_tap *b, sp_error *error) {
    carry_moving one = {0}, other;
    w->walk.look = (carry_look){0};
    if (!look_at_tap(w, a, &one, error)) return false;
    other = one;
    if (b != NULL && !look_at_tap(w, b, &other, error)) return false;
    if (w->backdrop.moving > MOVING_MOST || fmin(one.share, other.share) < MOVING_LEAST)
        return true;
    /* Far from the point's own grey, so that its outline stands out, yet not so far that nothing
     * else counts. */
    const double luma = 0.5 * (one.luma + other.luma);
    w->walk.look = (carry_look){&w->backdrop, (float)(luma < 128 ? luma + 90 : luma - 90)};
    return true;
}

/* --- the gaps -------------------------------------------------------------------------------- */

/* A gap's ways lie in the arrays from the place of its first tap on, and one further for each gap
 * before it, since both taps' frames belong to it. */
static carry_gap *begin_gap(work *w, const sp_carry_tap *first, const sp_carry_tap *second,
                            int last) {
    const int steps = abs(last - first->frame), way = last < first->frame ? -1 : 1;
    carry_gap *gap = &w->gaps[w->gap_count++];
    *gap = (carry_gap){.first = first, .second = second, .steps = steps, .way = way};
    gap->expected = &w->expected[first->frame - w->first];
    gap->forward = &w->forward[w->sightings];
    gap->backward = &w->backward[w->sightings];
    w->sightings += (size_t)steps + 1;
    return gap;
}

static bool follow_gap(work *w, const sp_carry_tap *a, const sp_carry_tap *b, sp_error *error) {
    const size_t at = w->sightings;
    if (b->frame <= w->job->from || a->frame >= w->job->to) return true;
    const carry_gap *gap = begin_gap(w, a, b, b->frame);
    return gap->steps < 2 ||
           (choose_look(w, a, b, error) &&
            carry_follow(&w->walk, a->frame, a->at, b->frame, &w->forward[at], error) &&
            carry_follow(&w->walk, b->frame, b->at, a->frame, &w->backward[at], error));
}

/* From a tap to the end of the span, with no tap beyond it. */
static bool follow_open(work *w, const sp_carry_tap *tap, int last, sp_error *error) {
    const size_t at = w->sightings;
    const carry_gap *gap = begin_gap(w, tap, NULL, last);
    return gap->steps == 0 ||
           (choose_look(w, tap, NULL, error) &&
            carry_follow(&w->walk, tap->frame, tap->at, last, &w->forward[at], error));
}

static bool follow_all(work *w, sp_error *error) {
    const sp_carry_tap *before = NULL;
    w->walk.step = 0.5 / (w->last - w->first + 1);
    for (int n = w->first; n <= w->last; n++) {
        const sp_carry_tap *tap = tap_on(w->job, n);
        if (tap == NULL) continue;
        if (before == NULL ? !follow_open(w, tap, w->first, error)
                           : !follow_gap(w, before, tap, error))
            return false;
        before = tap;
    }
    return before != NULL && follow_open(w, before, w->last, error);
}

/* By its looks, where the taps leave much open. What is found counts for what is expected, too,
 * until the ways from the taps are followed. */
static bool route_gap(work *w, const sp_carry_tap *a, const sp_carry_tap *b, sp_error *error) {
    const carry_smoothed *middle = &w->expected[(a->frame + b->frame) / 2 - w->first];
    const double side = fmax(w->clip->width, w->clip->height);
    const carry_agility usual = w->job->swift
                                    ? (carry_agility){SPEED_SWIFT * side, TURNS_SWIFT * side}
                                    : (carry_agility){SPEED_BODY * side, TURNS_BODY * side};
    if (b->frame <= w->job->from || a->frame >= w->job->to) return true;
    if (b->frame - a->frame < 2 || sd_of(middle) < ROUTE_FROM * w->walk.radius) return true;
    carry_sighting *route = &w->route[a->frame - w->first];
    if (!choose_look(w, a, b, error) || !carry_route(&w->walk, a, b, &usual, route, error))
        return false;
    for (int k = 1; k < b->frame - a->frame; k++) {
        const carry_sighting *s = &route[k];
        w->evidence[a->frame - w->first + k].first =
            (carry_place){s->seen, s->at, {s->cov[0], s->cov[1], s->cov[2]}};
    }
    return true;
}

static bool route_all(work *w, sp_error *error) {
    const sp_carry_tap *before = NULL;
    for (int n = w->first; n <= w->last; n++) {
        const sp_carry_tap *tap = tap_on(w->job, n);
        if (tap == NULL) continue;
        if (before != NULL && !route_gap(w, before, tap, error)) return false;
        before = tap;
    }
    return true;
}

/* --- all of it together ---------------------------------------------------------------------- */

/* Times, taps, and lengths where nothing is seen; the first tap's error begins with it. */
static void gather_taps(work *w) {
    for (int n = w->first; n <= w->last; n++) {
        const sp_carry_tap *tap = tap_on(w->job, n);
        carry_evidence *e = &w->evidence[n - w->first];
        *e = (carry_evidence){.seconds = w->seconds[n - w->first],
                              .broken = w->job->impact >= 0 && n == w->job->impact + 1,
                              .tap = tap != NULL};
        if (tap == NULL) continue;
        e->second = (carry_place){true, tap->at, {TAP_NOISE * TAP_NOISE, 0, TAP_NOISE * TAP_NOISE}};
        e->second_noise = tap->sd_px * tap->sd_px;
    }
}

static void gather_lengths(work *w) {
    if (w->job->partner == NULL) return;
    const double length = carry_length_px(w->job);
    for (size_t i = 0; i < w->gap_count && length > 0; i++) {
        const carry_gap *gap = &w->gaps[i];
        for (int k = 1; gap->second != NULL && k < gap->steps; k++) {
            const int n = gap->first->frame + k;
            carry_evidence *e = &w->evidence[n - w->first];
            if (!e->first.there && !e->second.there)
                carry_length_measure(w->job, n, gap->first->sd_px, length, e);
        }
    }
}

/* Where neither way has the point, the place that looks like it counts for the nearer tap's. */
static void fill_from_route(work *w) {
    for (size_t i = 0; i < w->gap_count; i++) {
        const carry_gap *gap = &w->gaps[i];
        for (int k = 1; gap->second != NULL && k < gap->steps; k++) {
            const carry_sighting *looks = &w->route[gap->first->frame - w->first + k];
            carry_sighting *ahead = &w->forward[gap->forward - w->forward + k];
            carry_sighting *back = &w->backward[gap->backward - w->backward + gap->steps - k];
            if (!looks->seen || ahead->seen || back->seen) continue;
            *(2 * k <= gap->steps ? ahead : back) = *looks;
        }
    }
}

static void gather_sightings(work *w) {
    fill_from_route(w);
    const double straying = carry_straying(w->gaps, w->gap_count);
    for (size_t i = 0; i < w->gap_count; i++) {
        const carry_gap *gap = &w->gaps[i];
        const int begin = gap->way > 0 ? gap->first->frame + 1 : gap->first->frame - gap->steps;
        if (gap->steps > 0) carry_join(gap, straying, &w->evidence[begin - w->first]);
    }
    gather_lengths(w);
}

static bool smooth(work *w, double power_sd, carry_smoothed *smoothed, sp_error *error) {
    const double side = fmax(w->clip->width, w->clip->height);
    const double usual = w->job->swift ? WANDER_SWIFT : WANDER_BODY;
    const carry_wander wander = {log10(side * side * usual), power_sd};
    return carry_smooth(w->evidence, frame_count(w), wander, smoothed, error);
}

/* A sighting far from where the motion is, all in all, is of something else. */
static bool agrees(const carry_place *p, const carry_smoothed *s) {
    return p->there && sp_point_distance(p->at, s->at) < AGREES_SDS * sd_of(s) + AGREES_PX;
}

/* A sighting that leaves the place as unsure as the taps alone do is none. */
static bool is_seen(const work *w, int n) {
    const carry_evidence *e = &w->evidence[n - w->first];
    const carry_smoothed *s = &w->smoothed[n - w->first];
    const double sd = sd_of(s), tap = w->job->taps[0].sd_px;
    if (!agrees(&e->first, s) && !agrees(&e->second, s)) return false;
    return w->job->ball || sd < TOLD_LEAST * w->alone_sd[n - w->first] || sd < SURE_TAPS * tap;
}

static sp_carried carried_at(const work *w, int n) {
    const sp_carry_tap *tap = tap_on(w->job, n);
    if (tap != NULL) return (sp_carried){SP_CARRIED_TAPPED, tap->at, tap->sd_px};
    const carry_smoothed *s = &w->smoothed[n - w->first];
    sp_carried c = {is_seen(w, n) ? SP_CARRIED_SEEN : SP_CARRIED_BRIDGED, s->at, sd_of(s)};
    const double size = fmax(w->clip->width, w->clip->height);
    if (!isfinite(c.sd_px) || c.sd_px > GIVE_UP_RADII * w->walk.radius || fabs(c.at.x) > 2 * size ||
        fabs(c.at.y) > 2 * size)
        c = (sp_carried){.by = SP_CARRIED_NOT};
    return c;
}

/* Taps alone tell little of how fast the motion wanders: it may come back to the same place in
 * between. So what is expected from them supposes what is usual. */
static bool expect(work *w, sp_error *error) { return smooth(w, 0, w->expected, error); }

static bool carry_body(work *w, sp_error *error) {
    w->walk.expected = w->expected;
    w->walk.expected_first = w->first;
    w->walk.again = w->again;
    w->walk.seconds = w->seconds;
    w->walk.route = w->route;
    if (!expect(w, error)) return false;
    for (size_t i = 0; i < frame_count(w); i++) w->alone_sd[i] = sd_of(&w->expected[i]);
    if (!route_all(w, error) || !expect(w, error) || !follow_all(w, error)) return false;
    gather_sightings(w);
    return smooth(w, WANDER_SD, w->smoothed, error);
}

static int radius_for(const sp_carry_clip *clip) {
    const int side = clip->width > clip->height ? clip->width : clip->height;
    const int radius = side / RADIUS_SHARE, most = CARRY_RADIUS_MAX - 1;
    return radius < RADIUS_LEAST ? RADIUS_LEAST : radius > most ? most : radius;
}

bool sp_carry_point(const sp_carry_clip *clip, const sp_carry_job *job, sp_carried *carried,
                    sp_error *error) {
    if (!check(clip, job, error)) return false;
    work w = {.clip = clip, .job = job};
    w.walk.radius = radius_for(clip);
    w.walk.tell = job->progress;
    w.walk.whom = job->whom;
    span(&w);
    bool good = make_room(&w, error) && learn_backdrop(&w, error) &&
                carry_repeats_find(w.walk.reel, w.first, w.last, w.again, w.seconds, error);
    if (good) gather_taps(&w);
    good = good && (job->ball ? carry_ball(&w.walk, &w.backdrop, w.first, frame_count(&w),
                                           w.evidence, w.smoothed, error)
                              : carry_body(&w, error));
    for (int n = job->from; good && n <= job->to; n++) carried[n - job->from] = carried_at(&w, n);
    clear(&w);
    return good;
}
