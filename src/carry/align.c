#include "carry/align.h"

#include <math.h>
#include <string.h>

#define STEPS_MAX 15
#define STEP_LEAST 0.01
#define PARAMETERS 6
/* Neighbouring pixels' errors are alike, by sampling and by compression: as if one in so many
 * counted. */
#define ALIKE 6.0

void carry_appearance_take(carry_appearance *a, const carry_plane *plane, sp_point at, int radius) {
    float wide[(CARRY_SIDE_MAX + 2) * (CARRY_SIDE_MAX + 2)];
    const int side = 2 * radius + 1, row = side + 2;
    carry_plane_window(plane, at, radius + 1, wide);
    a->radius = radius;
    a->count = side * side;
    for (int j = 0; j < side; j++) {
        const float *restrict middle = wide + (size_t)(j + 1) * (size_t)row + 1;
        const size_t begin = (size_t)j * (size_t)side;
        for (int i = 0; i < side; i++) {
            a->values[begin + (size_t)i] = middle[i];
            a->dx[begin + (size_t)i] = 0.5f * (middle[i + 1] - middle[i - 1]);
            a->dy[begin + (size_t)i] = 0.5f * (middle[i + row] - middle[i - row]);
        }
    }
    const float fall = -1.0f / (float)(1.1 * radius * radius);
    for (int j = 0; j < side; j++) {
        const float far = (float)((j - radius) * (j - radius));
        for (int i = 0; i < side; i++)
            a->weight[j * side + i] = expf(fall * (far + (float)((i - radius) * (i - radius))));
    }
    float weights = 0, sum = 0, square = 0, xx = 0, xy = 0, yy = 0;
    for (int i = 0; i < a->count; i++) {
        const float w = a->weight[i], v = a->values[i];
        weights += w;
        sum += w * v;
        square += w * v * v;
        xx += w * a->dx[i] * a->dx[i];
        xy += w * a->dx[i] * a->dy[i];
        yy += w * a->dy[i] * a->dy[i];
    }
    a->weights = (double)weights;
    a->mean = (double)sum / a->weights;
    a->spread = sqrt(fmax(0.0, (double)square / a->weights - a->mean * a->mean));
    a->tensor[0] = (double)xx;
    a->tensor[1] = (double)xy;
    a->tensor[2] = (double)yy;
}

/* Derivatives of one value by the six parameters: shift x, y, then the columns of the matrix in
 * units of the radius, so that all steps are pixels. */
static void slopes(const carry_appearance *a, int index, double s[PARAMETERS]) {
    const int side = 2 * a->radius + 1, row = index / side, column = index % side;
    const double i = (double)(column - a->radius) / a->radius;
    const double j = (double)(row - a->radius) / a->radius;
    const double dx = (double)a->dx[index], dy = (double)a->dy[index];
    s[0] = dx;
    s[1] = dy;
    s[2] = dx * i;
    s[3] = dx * j;
    s[4] = dy * i;
    s[5] = dy * j;
}

static void normal_matrix(const carry_appearance *a, double h[PARAMETERS][PARAMETERS]) {
    double s[PARAMETERS];
    memset(h, 0, sizeof(double[PARAMETERS][PARAMETERS]));
    for (int n = 0; n < a->count; n++) {
        slopes(a, n, s);
        const double w = (double)a->weight[n];
        for (int r = 0; r < PARAMETERS; r++)
            for (int c = 0; c <= r; c++) h[r][c] += w * s[r] * s[c];
    }
    /* Where a window says little about turning and shearing, these stay what they were. */
    const double held = 0.01 * (h[0][0] + h[1][1]);
    for (int r = 0; r < PARAMETERS; r++) h[r][r] += r < 2 ? 0.02 * held : held;
}

/* Cholesky's factor in place of the lower half. */
static bool factor(double h[PARAMETERS][PARAMETERS]) {
    for (int r = 0; r < PARAMETERS; r++)
        for (int c = 0; c <= r; c++) {
            double sum = h[r][c];
            for (int k = 0; k < c; k++) sum -= h[r][k] * h[c][k];
            if (r == c && sum <= 0.0) return false;
            h[r][c] = r == c ? sqrt(sum) : sum / h[c][c];
        }
    return true;
}

static void solve(double h[PARAMETERS][PARAMETERS], double b[PARAMETERS]) {
    for (int r = 0; r < PARAMETERS; r++) {
        for (int k = 0; k < r; k++) b[r] -= h[r][k] * b[k];
        b[r] /= h[r][r];
    }
    for (int r = PARAMETERS - 1; r >= 0; r--) {
        for (int k = r + 1; k < PARAMETERS; k++) b[r] -= h[k][r] * b[k];
        b[r] /= h[r][r];
    }
}

typedef struct {
    double gain, lift, likeness, residual; /* seen = gain * value + lift */
} shade;

static shade compare(const carry_appearance *a, const float *seen) {
    double sum = 0, square = 0, both = 0;
    for (int i = 0; i < a->count; i++) {
        const double w = (double)a->weight[i], v = (double)seen[i];
        sum += w * v;
        square += w * v * v;
        both += w * v * (double)a->values[i];
    }
    const double mean = sum / a->weights;
    const double spread = sqrt(fmax(0.0, square / a->weights - mean * mean));
    const double joint = both / a->weights - mean * a->mean;
    shade s = {.gain = fmin(fmax(spread / fmax(a->spread, 0.5), 0.5), 2.0)};
    s.lift = mean - s.gain * a->mean;
    s.likeness = joint / fmax(spread * a->spread, 0.25);
    s.residual = sqrt(fmax(0.0, 2.0 * (1.0 - s.likeness))) * a->spread;
    return s;
}

/* W <- W o (step)^-1; to first order enough, since steps are small where it ends. */
static double compose(carry_warp *w, const double b[PARAMETERS], int radius) {
    const double d[4] = {1 + b[2] / radius, b[3] / radius, b[4] / radius, 1 + b[5] / radius};
    const double det = d[0] * d[3] - d[1] * d[2];
    const double inverse[4] = {d[3] / det, -d[1] / det, -d[2] / det, d[0] / det};
    double m[4];
    for (size_t r = 0; r < 2; r++)
        for (size_t c = 0; c < 2; c++)
            m[2 * r + c] = w->m[2 * r] * inverse[c] + w->m[2 * r + 1] * inverse[2 + c];
    const double x = m[0] * b[0] + m[1] * b[1], y = m[2] * b[0] + m[3] * b[1];
    memcpy(w->m, m, sizeof m);
    w->at.x -= x;
    w->at.y -= y;
    return hypot(x, y) + fabs(b[2]) + fabs(b[3]) + fabs(b[4]) + fabs(b[5]);
}

static void spread_of(const carry_appearance *a, const carry_warp *w, double noise, double cov[3]) {
    const double held = 1e-3 * (a->tensor[0] + a->tensor[2]) + 1e-9;
    const double xx = a->tensor[0] + held, yy = a->tensor[2] + held, xy = a->tensor[1];
    const double scale = ALIKE * noise * noise / (xx * yy - xy * xy);
    const double i[3] = {scale * yy, -scale * xy, scale * xx};
    const double *m = w->m;
    cov[0] = m[0] * m[0] * i[0] + 2 * m[0] * m[1] * i[1] + m[1] * m[1] * i[2];
    cov[1] = m[0] * m[2] * i[0] + (m[0] * m[3] + m[1] * m[2]) * i[1] + m[1] * m[3] * i[2];
    cov[2] = m[2] * m[2] * i[0] + 2 * m[2] * m[3] * i[1] + m[3] * m[3] * i[2];
}

static double energy(const float *values, int side) {
    double sum = 0;
    for (int j = 0; j < side - 1; j++) {
        const float *row = values + (size_t)j * (size_t)side;
        for (int i = 0; i < side - 1; i++) {
            const double x = (double)(row[i + 1] - row[i]), y = (double)(row[i + side] - row[i]);
            sum += x * x + y * y;
        }
    }
    return sum;
}

void carry_refine(const carry_appearance *a, const carry_patch *in, carry_warp *warp,
                  carry_match *match) {
    double h[PARAMETERS][PARAMETERS], b[PARAMETERS], s[PARAMETERS];
    float seen[CARRY_AREA_MAX];
    normal_matrix(a, h);
    const bool structured = factor(h);
    for (int i = 0; structured && i < STEPS_MAX; i++) {
        carry_plane_warped(&in->planes[0], warp->at, warp->m, a->radius, seen);
        const shade sh = compare(a, seen);
        memset(b, 0, sizeof b);
        for (int n = 0; n < a->count; n++) {
            slopes(a, n, s);
            const double value = ((double)seen[n] - sh.lift) / sh.gain;
            const double off = (double)a->weight[n] * (value - (double)a->values[n]);
            for (int k = 0; k < PARAMETERS; k++) b[k] += off * s[k];
        }
        solve(h, b);
        if (compose(warp, b, a->radius) < STEP_LEAST) break;
    }
    carry_plane_warped(&in->planes[0], warp->at, warp->m, a->radius, seen);
    const shade sh = compare(a, seen);
    match->likeness = sh.likeness;
    match->sharpness =
        energy(seen, 2 * a->radius + 1) / fmax(1.0, energy(a->values, 2 * a->radius + 1));
    spread_of(a, warp, fmax(sh.residual, 1.0), match->cov);
}
