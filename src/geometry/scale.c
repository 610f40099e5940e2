#include "serveplumb/scale.h"

#include <math.h>

bool sp_scale_from_line(sp_point a, sp_point b, double sd_px, double distance_m,
                        double distance_sd_m, sp_scale *scale) {
    const double length_px = sp_point_distance(a, b);
    if (!(length_px > 0) || !(distance_m > 0)) return false;
    scale->m_per_px = distance_m / length_px;
    scale->tap_sd = sqrt(2) * sd_px / length_px;
    scale->distance_sd = distance_sd_m / distance_m;
    scale->depth_sd = SP_SCALE_DEPTH_SD;
    return true;
}

double sp_scale_relative_sd(const sp_scale *scale) {
    return hypot(hypot(scale->tap_sd, scale->distance_sd), scale->depth_sd);
}
