#include "window/pairing.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* In the order in which a coach would lock two serves. */
static const char *const order[] = {"contact", "trophy", "drop", "release", "bounce", "finish"};
#define ORDER_COUNT (sizeof order / sizeof order[0])

static bool both_name(const sp_review *a, const sp_review *b, const char *moment) {
    return sp_review_moment_frame(a, moment) >= 0 && sp_review_moment_frame(b, moment) >= 0;
}

bool pairing_moment(const sp_review *a, const sp_review *b, const char *after,
                    char moment[SP_REVIEW_ID_MAX]) {
    size_t start = 0;
    for (size_t i = 0; i < ORDER_COUNT; i++)
        if (strcmp(order[i], after) == 0) start = i + 1;
    for (size_t i = 0; i < ORDER_COUNT; i++) {
        const char *name = order[(start + i) % ORDER_COUNT];
        if (!both_name(a, b, name)) continue;
        snprintf(moment, SP_REVIEW_ID_MAX, "%s", name);
        return true;
    }
    return false;
}

bool pairing_shift(const session *a, const session *b, const char *moment, double *shift_s) {
    if (!both_name(a->review, b->review, moment)) return false;
    *shift_s = session_time_s(b, sp_review_moment_frame(b->review, moment)) -
               session_time_s(a, sp_review_moment_frame(a->review, moment));
    return true;
}

int pairing_frame(const session *s, double time_s) {
    const int begun = session_frame_at(s, time_s);
    if (begun + 1 >= s->times.count) return begun;
    const double before = time_s - session_time_s(s, begun);
    return session_time_s(s, begun + 1) - time_s < before ? begun + 1 : begun;
}

/* --- one over the other ----------------------------------------------------------------------- */

static bool middle_of(const sp_review *review, int frame, sp_point_name left, sp_point_name right,
                      sp_point *middle) {
    sp_mark one, other;
    if (frame < 0 || !sp_review_mark(review, frame, left, &one) ||
        !sp_review_mark(review, frame, right, &other))
        return false;
    *middle = sp_point_middle(one.at, other.at);
    return true;
}

typedef struct {
    const char *moment; /* NULL: no moment has the hips of both */
    sp_point a, b;      /* middles of the hips */
} hips;

static bool hips_at(const session *a, const session *b, const char *moment, hips *found) {
    const int one = sp_review_moment_frame(a->review, moment);
    const int other = sp_review_moment_frame(b->review, moment);
    if (!middle_of(a->review, one, SP_POINT_LEFT_HIP, SP_POINT_RIGHT_HIP, &found->a) ||
        !middle_of(b->review, other, SP_POINT_LEFT_HIP, SP_POINT_RIGHT_HIP, &found->b))
        return false;
    found->moment = moment;
    return true;
}

static hips find_hips(const session *a, const session *b, const char *wished) {
    hips found = {.moment = NULL};
    if (wished[0] != '\0' && hips_at(a, b, wished, &found)) return found;
    for (size_t i = 0; i < ORDER_COUNT; i++)
        if (hips_at(a, b, order[i], &found)) return found;
    return found;
}

static double metres_a_pixel(const session *s) {
    if (s->readout == NULL) return 0;
    const double value = sp_readout_scale(s->readout).m_per_px.value;
    return isfinite(value) && value > 0 ? value : 0;
}

static double trunk_px(const sp_review *review, int frame) {
    sp_point hip, shoulder;
    if (!middle_of(review, frame, SP_POINT_LEFT_HIP, SP_POINT_RIGHT_HIP, &hip) ||
        !middle_of(review, frame, SP_POINT_LEFT_SHOULDER, SP_POINT_RIGHT_SHOULDER, &shoulder))
        return 0;
    return sp_point_distance(hip, shoulder);
}

/* How much larger `b` has to be shown, and by what. */
static double size_of(const session *a, const session *b, const char *moment, const char **words) {
    const double one = metres_a_pixel(a), other = metres_a_pixel(b);
    const double tall = sp_review_get_player(a->review)->stature_m;
    const double taller = sp_review_get_player(b->review)->stature_m;
    if (one > 0 && other > 0 && tall > 0 && taller > 0) {
        *words = "equally tall, by stature and scale";
        return tall / one / (taller / other);
    }
    if (one > 0 && other > 0) {
        *words = "in true size, by the scales; give both statures to show them equally tall";
        return other / one;
    }
    if (moment != NULL) {
        const double trunk = trunk_px(a->review, sp_review_moment_frame(a->review, moment));
        const double longer = trunk_px(b->review, sp_review_moment_frame(b->review, moment));
        if (trunk > 0 && longer > 0) {
            *words = "with trunks of one length; set the scale and the stature in both for more";
            return trunk / longer;
        }
    }
    *words = "as large as the pictures are: set the scale and the stature in both";
    return (double)a->facts->height / b->facts->height;
}

pairing_fit pairing_align(const session *a, const session *b, const char *moment) {
    hips found = find_hips(a, b, moment);
    const char *size;
    pairing_fit fit = {.zoom = size_of(a, b, found.moment, &size)};
    if (found.moment == NULL) {
        found.a = (sp_point){a->facts->width / 2.0, a->facts->height / 2.0};
        found.b = (sp_point){b->facts->width / 2.0, b->facts->height / 2.0};
        snprintf(fit.words, sizeof fit.words,
                 "Middle on middle: tap both hips at one moment in both clips. Shown %s.", size);
    } else {
        snprintf(fit.words, sizeof fit.words, "Hips on hips at the %s, %s.", found.moment, size);
    }
    fit.at = sp_point_subtract(found.a, sp_point_times(found.b, fit.zoom));
    return fit;
}
