#include "serveplumb/flight.h"

#include <math.h>

#include "serveplumb/toss.h"

static const double PI = 3.14159265358979323846;
static const double COVERAGE_95 = 1.959963984540054;
static const double AIR_KG_PER_M3 = 1.204, BALL_M = 0.0667, BALL_KG = 0.0577;
/* The slowest serve that a child plays, and more than the fastest ever measured. */
static const double SLOWEST = 7, FASTEST = 90;
#define PANELS 64
#define STEPS_MAX 60

double sp_flight_drag_per_m(double drag_coefficient) {
    const double area = PI / 4 * BALL_M * BALL_M;
    return AIR_KG_PER_M3 * drag_coefficient * area / (2 * BALL_KG);
}

/* --- the model ------------------------------------------------------------------------------- */

typedef struct {
    double length, pull, drag; /* m, m/s^2 along the path, 1/m */
} model;

/* d(v^2)/ds = -2 k v^2 + 2 pull, solved: toward pull / k, the square of the terminal speed. */
static double speed_at(const model *of, double launch, double s) {
    const double share = exp(-2 * of->drag * s);
    const double gained = of->drag > 0 ? of->pull / of->drag * (1 - share) : 2 * of->pull * s;
    return sqrt(launch * launch * share + gained);
}

/* Time over the path, by Simpson's rule. */
static double time_of(const model *of, double launch) {
    const double h = of->length / PANELS;
    double sum = 1 / launch + 1 / speed_at(of, launch, of->length);
    for (int i = 1; i < PANELS; i++) sum += (i % 2 == 1 ? 4 : 2) / speed_at(of, launch, i * h);
    return sum * h / 3;
}

/* Times fall nearly as 1 / launch, so scaling by their ratio settles in a few steps. */
static double launch_for(const model *of, double time_s) {
    double launch = of->length / time_s;
    if (of->drag > 0) launch *= expm1(of->drag * of->length) / (of->drag * of->length);
    for (int step = 0; step < STEPS_MAX; step++) {
        const double ratio = time_of(of, launch) / time_s;
        launch *= ratio;
        if (fabs(ratio - 1) < 1e-14) break;
    }
    return launch;
}

/* Sag of the arc under its chord, g T^2 cos / 8, makes it longer by 8/3 sag^2 / chord. */
static double arc_excess(const sp_flight_path *path) {
    const double slope = path->drop_m / path->distance_m;
    const double sag = SP_GRAVITY * path->time_s * path->time_s * sqrt(1 - slope * slope) / 8;
    return 8.0 / 3 * sag * sag / (path->distance_m * path->distance_m);
}

static double launch_of(const sp_flight_path *path, double drag) {
    const double arc = 1 + arc_excess(path);
    const model of = {path->distance_m * arc, SP_GRAVITY * path->drop_m / (path->distance_m * arc),
                      drag};
    return launch_for(&of, path->time_s);
}

/* --- the interval ---------------------------------------------------------------------------- */

static bool sensible(const sp_flight_path *path, sp_error *error) {
    if (!(path->distance_m > 0) || !(path->time_s > 0) || !(path->distance_sd_m >= 0) ||
        !(path->time_sd_s >= 0) || !(fabs(path->drop_m) < path->distance_m))
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "the flight has no length or no time; check the frames of contact and bounce, "
            "and where the ball touches down");
    const double mean = path->distance_m / path->time_s;
    if (mean < SLOWEST || mean > FASTEST)
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "%.1f m in %.3f s is %.0f m/s, which is no serve; check the frames of contact "
            "and bounce, and the clip's slowdown",
            path->distance_m, path->time_s, mean);
    return true;
}

static sp_interval around(double value, double below, double above) {
    return (sp_interval){value, value * exp(-below), value * exp(above)};
}

/* Relative change of the launch speed when one input changes by a deviation. */
static double by_change(const sp_flight_path *path, double launch, double distance, double time) {
    sp_flight_path changed = *path;
    changed.distance_m += distance;
    changed.time_s += time;
    return fabs(log(launch_of(&changed, sp_flight_drag_per_m(SP_FLIGHT_CD)) / launch));
}

bool sp_flight_solve(const sp_flight_path *path, sp_flight *flight, sp_error *error) {
    if (!sensible(path, error)) return false;
    const double drag = sp_flight_drag_per_m(SP_FLIGHT_CD), launch = launch_of(path, drag);
    *flight = (sp_flight){
        .distance_sd = by_change(path, launch, path->distance_sd_m, 0),
        .time_sd = by_change(path, launch, 0, path->time_sd_s),
        .air_sd = log(launch_of(path, drag * (1 + SP_FLIGHT_AIR_SD)) / launch),
        /* spin may pull as much as gravity does, up or down: the whole of it */
        .arc_sd = arc_excess(path),
        .drag_low = log(launch / launch_of(path, sp_flight_drag_per_m(SP_FLIGHT_CD_LOW))),
        .drag_high = log(launch_of(path, sp_flight_drag_per_m(SP_FLIGHT_CD_HIGH)) / launch)};
    const double mean = path->distance_m * (1 + arc_excess(path)) / path->time_s;
    const double taps =
        COVERAGE_95 * hypot(path->distance_sd_m / path->distance_m, path->time_sd_s / path->time_s);
    const double mean_95 = hypot(taps, COVERAGE_95 * flight->arc_sd);
    flight->mean = around(mean, mean_95, mean_95);
    const double other = COVERAGE_95 * hypot(hypot(flight->distance_sd, flight->time_sd),
                                             hypot(flight->air_sd, flight->arc_sd));
    flight->launch =
        around(launch, hypot(other, flight->drag_low), hypot(other, flight->drag_high));
    return true;
}
