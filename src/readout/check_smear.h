/* How far the racquet head smears while the shutter is open, and which shutter keeps that short. */
#ifndef SP_READOUT_CHECK_SMEAR_H
#define SP_READOUT_CHECK_SMEAR_H

typedef struct {
    double speed_m_per_s; /* of the racquet head */
    double m_per_px;
    int shutter;    /* 1/s: the longest of the usual ones with a smear that can be tapped */
    double smear_m; /* while that shutter is open */
    double smear_px;
} sp_smear;

/* Length of the smear: speed times exposure (uniform motion across the picture's plane). */
double sp_smear_m(double speed_m_per_s, double exposure_s);
sp_smear sp_smear_for(double speed_m_per_s, double m_per_px);

#endif
