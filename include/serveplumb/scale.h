/* Metres per pixel from two taps a known distance apart. */
#ifndef SERVEPLUMB_SCALE_H
#define SERVEPLUMB_SCALE_H

#include <stdbool.h>

#include "serveplumb/point.h"

/* How far the line may lie nearer or farther than the player, as a standard deviation relative to
 * the camera's distance, when nothing tells: half a metre at 10 m. The error it makes is the same
 * ratio (reference/methods: relative error (D_ref - D)/D; derived from the pinhole projection). */
#define SP_SCALE_DEPTH_SD 0.05
/* The same where the player moves toward or away from the camera (from behind, from the front, at a
 * slant), which stands at the fence some 6 m away: half a metre at 6 m. */
#define SP_SCALE_DEPTH_SD_ALONG 0.083

typedef struct {
    double m_per_px;
    double tap_sd;      /* relative: sqrt(2) sd_px / length */
    double distance_sd; /* relative: of the known distance itself */
    double depth_sd;    /* relative: line not at the player's distance */
} sp_scale;

/* False when the two taps coincide or distance_m is not positive. */
bool sp_scale_from_line(sp_point a, sp_point b, double sd_px, double distance_m,
                        double distance_sd_m, sp_scale *scale);
/* The three terms in quadrature, relative. */
double sp_scale_relative_sd(const sp_scale *scale);

#endif
