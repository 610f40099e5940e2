/* What signal values mean in light, by formula. Signals are 0 to 1. */
#ifndef SP_CLIP_TRANSFER_H
#define SP_CLIP_TRANSFER_H

/* PQ, ITU-R BT.2100-2 table 4 (from memory): light in cd/m2, 0 to 10000. */
double sp_pq_to_light(double signal);
double sp_pq_from_light(double cd_m2);

/* HLG, BT.2100-2 table 5 (from memory): light of the scene, 0 to 1. */
double sp_hlg_to_scene(double signal);
/* From the light of the scene to that of a display of 1000 cd/m2 in a dim room (the OOTF, gamma
 * 1.2), in BT.2020 primaries. */
void sp_hlg_to_display(const double scene[3], double cd_m2[3]);

/* sRGB, IEC 61966-2-1: light relative to white. */
double sp_srgb_to_light(double signal);
double sp_srgb_from_light(double light);

/* ITU-R BT.2390, 5.4.1 (from memory), on the greatest component of a colour: light of a display of
 * 1000 cd/m2 brought to one of 203, the white that BT.2408 gives to a diffuse white in pictures of
 * high range. What is below about 80 cd/m2 stays; above, a spline bends to the white. */
#define SP_TONE_PEAK_CD_M2 1000.0
#define SP_TONE_WHITE_CD_M2 203.0
double sp_tone_bend(double cd_m2);

typedef struct {
    double red[2], green[2], blue[2]; /* CIE x, y; white is D65 */
} sp_primaries;

extern const sp_primaries sp_primaries_bt709, sp_primaries_bt2020, sp_primaries_p3;

/* Linear light in `from` to linear light in `to`, SMPTE RP 177 (from memory). */
void sp_primaries_matrix(const sp_primaries *from, const sp_primaries *to, double matrix[3][3]);

#endif
