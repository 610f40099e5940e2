/* The speed at which a serve left the racquet, from its mean speed to the bounce.
 *
 * Source: drag along the path, dv/dt = -k v^2 with k = rho Cd A / (2 m): v = v0 exp(-k x), so that
 * v0 = mean (exp(k x) - 1) / (k x) over a path x. Added here (derived): the pull of gravity along a
 * path that drops evenly, and the arc's length over its chord. No spin. Within 0.4 % of
 * flights computed step by step at 33 to 60 m/s. Pure functions. */
#ifndef SERVEPLUMB_FLIGHT_H
#define SERVEPLUMB_FLIGHT_H

#include <stdbool.h>

#include "serveplumb/error.h"
#include "serveplumb/interval.h"

/* Drag coefficient: 0.507 +- 0.024 in free flight, new balls (Cross and Lindsey 2013); 0.6 to 0.7
 * in wind tunnels (Mehta, Alam and Subic 2008); worn balls less. The interval covers 0.45 to 0.65.
 */
#define SP_FLIGHT_CD 0.507
#define SP_FLIGHT_CD_LOW 0.45
#define SP_FLIGHT_CD_HIGH 0.65
/* Ball of the ITF's rules, Appendix I (56.0 to 59.4 g, 6.54 to 6.86 cm), and air of 0 to 35 degrees
 * Celsius near sea level: relative deviation of k, from rectangular half-widths of 2.9, 4.8 and 6
 * %. */
#define SP_FLIGHT_AIR_SD 0.048

/* Deceleration by drag, 1/m, for a drag coefficient; 66.7 mm, 57.7 g, 1.204 kg/m^3. */
double sp_flight_drag_per_m(double drag_coefficient);

typedef struct {
    double distance_m; /* straight, from contact to bounce; > 0 */
    double distance_sd_m;
    double drop_m;    /* height of contact above the bounce; 0 when unknown */
    double time_s;    /* from contact to bounce, real seconds; > 0 */
    double time_sd_s; /* contact and bounce each lie somewhere between two frames: step / sqrt 6 */
} sp_flight_path;

typedef struct {
    sp_interval mean;   /* m/s along the path */
    sp_interval launch; /* m/s, just off the strings */
    /* Relative terms of the launch speed. Standard deviations: */
    double distance_sd, time_sd, air_sd, arc_sd;
    /* by drag coefficients between the limits, as 95 % limits, both positive: */
    double drag_low, drag_high;
} sp_flight;

/* Errors: SP_ERROR_ARGUMENT when distance, time or their deviations make no sense, or the mean
 * speed is none of a serve (under 7 or over 90 m/s), which tells of a wrong frame or slowdown. */
bool sp_flight_solve(const sp_flight_path *path, sp_flight *flight, sp_error *error);

#endif
