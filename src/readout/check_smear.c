#include "readout/check_smear.h"

#include <stddef.h>

/* Any place on a smear of this length is off its middle by 10 / sqrt 12 = 2.9 px (standard
 * deviation of a uniform distribution): twice a sharp tap's 1.5 px. */
static const double SMEAR_MAX_PX = 10;

/* Shutters that phones and cameras offer; common practice. */
static const int SHUTTERS[] = {250, 500, 1000, 2000, 4000};

double sp_smear_m(double speed_m_per_s, double exposure_s) { return speed_m_per_s * exposure_s; }

sp_smear sp_smear_for(double speed_m_per_s, double m_per_px) {
    sp_smear smear = {.speed_m_per_s = speed_m_per_s, .m_per_px = m_per_px};
    for (size_t i = 0; i < sizeof SHUTTERS / sizeof SHUTTERS[0]; i++) {
        smear.shutter = SHUTTERS[i];
        smear.smear_m = sp_smear_m(speed_m_per_s, 1.0 / SHUTTERS[i]);
        smear.smear_px = smear.smear_m / m_per_px;
        if (smear.smear_px <= SMEAR_MAX_PX) break;
    }
    return smear;
}
