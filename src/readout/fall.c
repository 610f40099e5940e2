#include "readout/fall.h"

#include <math.h>

#include "kinematics/polynomial.h"
#include "serveplumb/toss.h"

/* Fewer marks in a shorter flight leave the habit surer than the fall. */
enum { MARKS_MIN = 6 };
static const double SPAN_MIN_S = 0.35;
/* Drag makes the fitted fall 0.3 to 0.65 % too fast (toss.h). */
static const double DRAG_SHARE = 0.0045;
/* Drag that is not known, gravity of the place, wind, and rows that are read at a time nobody
 * knows: relative, some 0.1 to 0.3 % each. */
static const double REST_SD = 0.005;

sp_fall sp_fall_find(const sp_door *door) {
    const int first = door->moments[SP_AT_RELEASE], last = door->moments[SP_AT_CONTACT];
    sp_fall fall = {0};
    double from_s = INFINITY, to_s = -INFINITY;
    for (size_t i = 0; i < door->slot_count && first >= 0; i++) {
        const sp_slot *slot = &door->slots[i];
        if (slot->name != SP_POINT_BALL || slot->frame < first || slot->frame > last) continue;
        if (fall.count == SP_PATH_MAX) break;
        fall.slots[fall.count++] = (int)i;
        fall.sd_px = fmax(fall.sd_px, slot->sd_px);
        from_s = fmin(from_s, slot->frame_s);
        to_s = fmax(to_s, slot->frame_s);
    }
    if (fall.count < MARKS_MIN || to_s - from_s < SPAN_MIN_S) fall.count = 0;
    return fall;
}

/* What lies n = near + per_s t nearer than the plane is at eye + (height - eye) (1 - n / away): its
 * acceleration is a sum over the heights, linear in near and in per_s. */
typedef struct {
    double plain, of_near, of_per_s, noise;
} curving;

static bool curve(const sp_fall_look *look, curving *c) {
    sp_polynomial polynomial;
    double weights[SP_POLYNOMIAL_ROWS_MAX];
    if (!sp_polynomial_prepare(&polynomial, look->time_s, look->count, 2)) return false;
    sp_polynomial_weights(&polynomial, 2, weights);
    *c = (curving){.noise = 2 * look->noise_m * sp_polynomial_gain(&polynomial, 2)};
    for (size_t i = 0; i < look->count; i++) {
        const double share = (look->height[i] - look->eye_m) / look->away_m;
        c->plain += 2 * weights[i] * look->height[i];
        c->of_near -= 2 * weights[i] * share;
        c->of_per_s -= 2 * weights[i] * share * look->time_s[i];
    }
    return true;
}

bool sp_fall_tell(const sp_fall_look *look, double *nearer_m, double *nearer_per_s, double *off) {
    curving c;
    if (!curve(look, &c)) return false;
    const double fall = -SP_GRAVITY * (1 + DRAG_SHARE);
    const double seen = c.plain + c.of_near * look->near_m + c.of_per_s * look->per_s;
    const double missing = fall * (1 + REST_SD * look->chance) - seen;
    const double near = c.of_near * look->near_sd, per_s = c.of_per_s * look->per_sd;
    const double variance = near * near + per_s * per_s + c.noise * c.noise +
                            REST_SD * REST_SD * SP_GRAVITY * SP_GRAVITY;
    if (!(variance > 0) || !isfinite(missing)) return false;
    *nearer_m = look->near_sd * near * missing / variance;
    *nearer_per_s = look->per_sd * per_s * missing / variance;
    *off = fabs(missing) / sqrt(variance);
    return true;
}
