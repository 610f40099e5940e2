#include "geometry/pose_layout.h"

#include <assert.h>
#include <math.h>

/* Two taps nearer than this are one spot: a pixel cannot be told from its neighbour by eye. */
static const double ONE_SPOT_PX = 1.0;

static bool enough(const sp_landmark_tap *taps, size_t count, sp_error *error) {
    if (count > SP_POSE_TAPS_MAX)
        return sp_fail(error, SP_ERROR_LIMIT,
                       "%zu landmarks are more than the program takes; keep the best %d", count,
                       SP_POSE_TAPS_MAX);
    size_t ground = 0;
    for (size_t i = 0; i < count; i++) ground += sp_landmark_on_ground(taps[i].landmark) ? 1 : 0;
    if (ground < 4)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "%zu of the tapped landmarks lie on the ground; the court's pose needs 4 or "
                       "more of them; tap further corners and crossings of lines",
                       ground);
    return true;
}

static bool placed(const sp_landmark_tap *taps, size_t count, sp_error *error) {
    for (size_t i = 0; i < count; i++) {
        assert(taps[i].sd_px > 0);
        if (!isfinite(taps[i].at.x) || !isfinite(taps[i].at.y))
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "the tap on \"%s\" is nowhere in the picture; tap it anew",
                           taps[i].landmark->name);
    }
    return true;
}

static bool different(const sp_landmark_tap *taps, size_t count, sp_error *error) {
    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count; j++) {
            if (taps[i].landmark == taps[j].landmark)
                return sp_fail(error, SP_ERROR_ARGUMENT,
                               "\"%s\" is tapped twice; keep one of the two",
                               taps[i].landmark->name);
            if (sp_point_distance(taps[i].at, taps[j].at) < ONE_SPOT_PX)
                return sp_fail(error, SP_ERROR_ARGUMENT,
                               "\"%s\" and \"%s\" are tapped on one spot; tap each where it lies, "
                               "or leave one out",
                               taps[i].landmark->name, taps[j].landmark->name);
        }
    return true;
}

/* Places of the table are far apart, so a millimetre of area tells a line from a triangle. */
static bool on_line(sp_world a, sp_world b, sp_world c) {
    return fabs((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)) < 1e-3;
}

/* A court is fixed by four places of which no three are on a line. With all but one place on a
 * line there are none. */
static bool all_but_one_on_a_line(const sp_landmark_tap *taps, size_t count) {
    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count; j++) {
            size_t aside = 0;
            if (!sp_landmark_on_ground(taps[i].landmark) ||
                !sp_landmark_on_ground(taps[j].landmark))
                continue;
            for (size_t k = 0; k < count; k++)
                if (sp_landmark_on_ground(taps[k].landmark) &&
                    !on_line(taps[i].landmark->at, taps[j].landmark->at, taps[k].landmark->at))
                    aside++;
            if (aside < 2) return true;
        }
    return false;
}

bool sp_pose_layout_check(const sp_landmark_tap *taps, size_t count, sp_error *error) {
    if (!enough(taps, count, error) || !placed(taps, count, error) ||
        !different(taps, count, error))
        return false;
    if (all_but_one_on_a_line(taps, count))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "all landmarks on the ground but at most one lie on one line, which does "
                       "not fix the court; tap at least two that lie off that line");
    return true;
}
