#include "clip/transfer.h"

#include <math.h>

/* --- PQ --- */

static const double pq_m1 = 2610.0 / 16384, pq_m2 = 2523.0 / 4096 * 128;
static const double pq_c1 = 3424.0 / 4096, pq_c2 = 2413.0 / 4096 * 32, pq_c3 = 2392.0 / 4096 * 32;

double sp_pq_to_light(double signal) {
    const double root = pow(signal, 1 / pq_m2);
    return 10000 * pow(fmax(root - pq_c1, 0) / (pq_c2 - pq_c3 * root), 1 / pq_m1);
}

double sp_pq_from_light(double cd_m2) {
    const double power = pow(cd_m2 / 10000, pq_m1);
    return pow((pq_c1 + pq_c2 * power) / (1 + pq_c3 * power), pq_m2);
}

/* --- HLG --- */

double sp_hlg_to_scene(double signal) {
    static const double a = 0.17883277, b = 0.28466892, c = 0.55991073;
    return signal <= 0.5 ? signal * signal / 3 : (exp((signal - c) / a) + b) / 12;
}

void sp_hlg_to_display(const double scene[3], double cd_m2[3]) {
    static const double gamma = 1.2;
    const double luminance = 0.2627 * scene[0] + 0.6780 * scene[1] + 0.0593 * scene[2];
    const double gain = luminance > 0 ? SP_TONE_PEAK_CD_M2 * pow(luminance, gamma - 1) : 0;
    for (int i = 0; i < 3; i++) cd_m2[i] = gain * scene[i];
}

/* --- sRGB --- */

double sp_srgb_to_light(double signal) {
    return signal <= 0.04045 ? signal / 12.92 : pow((signal + 0.055) / 1.055, 2.4);
}

double sp_srgb_from_light(double light) {
    return light <= 0.0031308 ? light * 12.92 : 1.055 * pow(light, 1 / 2.4) - 0.055;
}

/* --- the bend --- */

double sp_tone_bend(double cd_m2) {
    const double peak = sp_pq_from_light(SP_TONE_PEAK_CD_M2);
    const double top = sp_pq_from_light(SP_TONE_WHITE_CD_M2) / peak;
    const double knee = 1.5 * top - 0.5;
    const double e = fmin(sp_pq_from_light(cd_m2) / peak, 1);
    if (e < knee) return cd_m2;
    const double t = (e - knee) / (1 - knee), t2 = t * t, t3 = t2 * t;
    const double bent =
        (2 * t3 - 3 * t2 + 1) * knee + (t3 - 2 * t2 + t) * (1 - knee) + (3 * t2 - 2 * t3) * top;
    return sp_pq_to_light(bent * peak);
}

/* --- primaries --- */

/* ITU-R BT.709-6, BT.2020-2, SMPTE EG 432-1. */
const sp_primaries sp_primaries_bt709 = {{0.640, 0.330}, {0.300, 0.600}, {0.150, 0.060}};
const sp_primaries sp_primaries_bt2020 = {{0.708, 0.292}, {0.170, 0.797}, {0.131, 0.046}};
const sp_primaries sp_primaries_p3 = {{0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}};
static const double d65[2] = {0.3127, 0.3290};

static void to_xyz(const double xy[2], double xyz[3]) {
    xyz[0] = xy[0] / xy[1];
    xyz[1] = 1;
    xyz[2] = (1 - xy[0] - xy[1]) / xy[1];
}

/* Cofactors over the determinant; rows and columns wrap around, which gives them their signs. */
static void invert(double m[3][3], double inverse[3][3]) {
    double determinant = 0;
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) {
            const int r1 = (r + 1) % 3, r2 = (r + 2) % 3, c1 = (c + 1) % 3, c2 = (c + 2) % 3;
            inverse[c][r] = m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1];
            if (r == 0) determinant += m[r][c] * inverse[c][r];
        }
    for (int i = 0; i < 9; i++) inverse[i / 3][i % 3] /= determinant;
}

/* The columns are the primaries, each as strong as makes their sum white. */
static void matrix_to_xyz(const sp_primaries *primaries, double matrix[3][3]) {
    const double *const xy[3] = {primaries->red, primaries->green, primaries->blue};
    double white[3], inverse[3][3];
    to_xyz(d65, white);
    for (int c = 0; c < 3; c++) {
        double column[3];
        to_xyz(xy[c], column);
        for (int r = 0; r < 3; r++) matrix[r][c] = column[r];
    }
    invert(matrix, inverse);
    for (int c = 0; c < 3; c++) {
        double strength = 0;
        for (int k = 0; k < 3; k++) strength += inverse[c][k] * white[k];
        for (int r = 0; r < 3; r++) matrix[r][c] *= strength;
    }
}

void sp_primaries_matrix(const sp_primaries *from, const sp_primaries *to, double matrix[3][3]) {
    double here[3][3], there[3][3], back[3][3];
    matrix_to_xyz(from, here);
    matrix_to_xyz(to, there);
    invert(there, back);
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) {
            matrix[r][c] = 0;
            for (int k = 0; k < 3; k++) matrix[r][c] += back[r][k] * here[k][c];
        }
}
