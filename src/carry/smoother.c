#include "carry/smoother.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define N 6 /* x, its velocity and acceleration, then y's */
/* Before anything is seen: any speed and any turn that a serve has, in pixels and seconds. */
#define VELOCITY_SD 2e4
#define ACCELERATION_SD 1e6
/* A sighting farther off than this many deviations counts the less, the farther it is. */
#define DOUBT 4.0
#define WANDER_LOW 3.0 /* powers of ten that are tried */
#define WANDER_HIGH 15.0

typedef struct {
    double x[N], p[N][N];
} state;

typedef struct {
    state expected, known;
    double step; /* seconds since the time before */
    double surprise;
} moment;

/* Each axis by itself: F = [1 t t^2/2; 0 1 t; 0 0 1]. */
static void go_on(const state *from, double t, double wander, state *to) {
    const double f[3][3] = {{1, t, 0.5 * t * t}, {0, 1, t}, {0, 0, 1}};
    const double q[3][3] = {{pow(t, 5) / 20, pow(t, 4) / 8, pow(t, 3) / 6},
                            {pow(t, 4) / 8, pow(t, 3) / 3, t * t / 2},
                            {pow(t, 3) / 6, t * t / 2, t}};
    double half[N][N];
    for (int r = 0; r < N; r++) {
        const int axis = r / 3 * 3;
        to->x[r] = 0;
        for (int k = 0; k < 3; k++) to->x[r] += f[r % 3][k] * from->x[axis + k];
        for (int c = 0; c < N; c++) {
            half[r][c] = 0;
            for (int k = r % 3; k < 3; k++) half[r][c] += f[r % 3][k] * from->p[axis + k][c];
        }
    }
    for (int r = 0; r < N; r++)
        for (int c = 0; c < N; c++) {
            const int axis = c / 3 * 3;
            to->p[r][c] = r / 3 == c / 3 ? wander * q[r % 3][c % 3] : 0.0;
            for (int k = c % 3; k < 3; k++) to->p[r][c] += half[r][axis + k] * f[c % 3][k];
        }
}

/* A racquet that meets the ball, or a ball that is met: any velocity is possible again. */
static void break_motion(state *s) {
    for (int axis = 0; axis < N; axis += 3) {
        s->p[axis + 1][axis + 1] += VELOCITY_SD * VELOCITY_SD / 100;
        s->p[axis + 2][axis + 2] += ACCELERATION_SD * ACCELERATION_SD;
    }
}

/* One number h x + ... seen with variance r. Gives half the squared surprise and log of its width.
 */
static double take(state *s, const double h[N], double off, double r) {
    double ph[N], width = r;
    for (int i = 0; i < N; i++) {
        ph[i] = 0;
        for (int k = 0; k < N; k++) ph[i] += s->p[i][k] * h[k];
    }
    for (int i = 0; i < N; i++) width += h[i] * ph[i];
    for (int i = 0; i < N; i++) s->x[i] += ph[i] / width * off;
    for (int i = 0; i < N; i++)
        for (int k = 0; k < N; k++) s->p[i][k] -= ph[i] * ph[k] / width;
    return 0.5 * (off * off / width + log(width));
}

/* How far a sighting is from what was expected, squared, in deviations. */
static double surprise_of(const state *s, const carry_evidence *e) {
    const double a = s->p[0][0] + e->cov[0], b = s->p[0][3] + e->cov[1], c = s->p[3][3] + e->cov[2];
    const double x = e->at.x - s->x[0], y = e->at.y - s->x[3];
    return (c * x * x - 2 * b * x * y + a * y * y) / fmax(a * c - b * b, 1e-12);
}

/* Both coordinates: the second without what the first told of it. */
static double take_place(state *s, const carry_evidence *e, double surprise) {
    const double doubt = !e->firm && surprise > DOUBT * DOUBT ? surprise / (DOUBT * DOUBT) : 1.0;
    const double xx = e->cov[0] * doubt, xy = e->cov[1] * doubt, yy = e->cov[2] * doubt;
    const double tilt = xy / xx;
    const double h1[N] = {1, 0, 0, 0, 0, 0}, h2[N] = {-tilt, 0, 0, 1, 0, 0};
    double unlikely = take(s, h1, e->at.x - s->x[0], xx);
    const double second = e->at.y - tilt * e->at.x;
    unlikely += take(s, h2, second - (s->x[3] - tilt * s->x[0]), fmax(yy - xy * tilt, 1e-6));
    return unlikely;
}

static void take_length(state *s, const carry_evidence *e) {
    const double x = s->x[0] - e->partner.x, y = s->x[3] - e->partner.y, l = hypot(x, y);
    /* Too uncertain a place has no direction to measure along. */
    if (l < 1.0 || s->p[0][0] + s->p[3][3] > l * l) return;
    const double h[N] = {x / l, 0, 0, y / l, 0, 0};
    take(s, h, e->length - l, e->length_sd * e->length_sd);
}

static void begin(state *s) {
    memset(s, 0, sizeof *s);
    for (int axis = 0; axis < N; axis += 3) {
        s->p[axis][axis] = 1e8;
        s->p[axis + 1][axis + 1] = VELOCITY_SD * VELOCITY_SD;
        s->p[axis + 2][axis + 2] = ACCELERATION_SD * ACCELERATION_SD;
    }
}

static double run_forward(const carry_evidence *e, size_t count, double wander, moment *m) {
    double unlikely = 0;
    state s;
    begin(&s);
    for (size_t i = 0; i < count; i++) {
        m[i].step = i == 0 ? 0 : e[i].seconds - e[i - 1].seconds;
        if (i > 0 && e[i].broken) break_motion(&s);
        go_on(&s, m[i].step, wander, &m[i].expected);
        s = m[i].expected;
        m[i].surprise = e[i].there ? surprise_of(&s, &e[i]) : 0;
        if (e[i].there) unlikely += take_place(&s, &e[i], m[i].surprise);
        if (e[i].measured) take_length(&s, &e[i]);
        m[i].known = s;
    }
    return unlikely;
}

/* Solves p g' = b' for g, p symmetric and positive: Cholesky with a little held on the diagonal. */
static bool gain_of(const double p[N][N], double b[N][N], double g[N][N]) {
    double l[N][N] = {{0}};
    for (int r = 0; r < N; r++)
        for (int c = 0; c <= r; c++) {
            double sum = p[r][c] * (r == c ? 1.0 + 1e-12 : 1.0);
            for (int k = 0; k < c; k++) sum -= l[r][k] * l[c][k];
            if (r == c && sum <= 0.0) return false;
            l[r][c] = r == c ? sqrt(sum) : sum / l[c][c];
        }
    for (int row = 0; row < N; row++) {
        double *x = g[row];
        memcpy(x, b[row], sizeof(double[N]));
        for (int r = 0; r < N; r++) {
            for (int k = 0; k < r; k++) x[r] -= l[r][k] * x[k];
            x[r] /= l[r][r];
        }
        for (int r = N - 1; r >= 0; r--) {
            for (int k = r + 1; k < N; k++) x[r] -= l[k][r] * x[k];
            x[r] /= l[r][r];
        }
    }
    return true;
}

/* known(i) F', the covariance of here with what is expected next. */
static void across(const state *known, double t, double b[N][N]) {
    const double f[3][3] = {{1, t, 0.5 * t * t}, {0, 1, t}, {0, 0, 1}};
    for (int r = 0; r < N; r++)
        for (int c = 0; c < N; c++) {
            b[r][c] = 0;
            for (int k = c % 3; k < 3; k++) b[r][c] += known->p[r][c / 3 * 3 + k] * f[c % 3][k];
        }
}

/* Improves moment i by the one after it, which is already improved. */
static void look_back(moment *here, const moment *next, const state *later) {
    double b[N][N], g[N][N], spread[N][N];
    across(&here->known, next->step, b);
    if (!gain_of(next->expected.p, b, g)) return;
    for (int r = 0; r < N; r++)
        for (int k = 0; k < N; k++)
            here->known.x[r] += g[r][k] * (later->x[k] - next->expected.x[k]);
    for (int r = 0; r < N; r++)
        for (int c = 0; c < N; c++) {
            spread[r][c] = 0;
            for (int k = 0; k < N; k++)
                spread[r][c] += g[r][k] * (later->p[k][c] - next->expected.p[k][c]);
        }
    for (int r = 0; r < N; r++)
        for (int c = 0; c < N; c++)
            for (int k = 0; k < N; k++) here->known.p[r][c] += spread[r][k] * g[c][k];
}

/* The likeliest wander by trying powers of ten, then the thirds about the best. */
static double likeliest(const carry_evidence *e, size_t count, moment *m) {
    double best = WANDER_LOW, least = INFINITY;
    for (double power = WANDER_LOW; power <= WANDER_HIGH; power += 0.5) {
        const double unlikely = run_forward(e, count, pow(10, power), m);
        if (unlikely < least) {
            least = unlikely;
            best = power;
        }
    }
    return pow(10, best);
}

bool carry_smooth(const carry_evidence *e, size_t count, double wander, carry_smoothed *smoothed,
                  sp_error *error) {
    moment *m = calloc(count, sizeof *m);
    if (m == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
    if (wander <= 0) wander = likeliest(e, count, m);
    run_forward(e, count, wander, m);
    for (size_t i = count - 1; i-- > 0;) look_back(&m[i], &m[i + 1], &m[i + 1].known);
    for (size_t i = 0; i < count; i++) {
        const state *s = &m[i].known;
        smoothed[i] = (carry_smoothed){.at = {s->x[0], s->x[3]},
                                       .cov = {s->p[0][0], s->p[0][3], s->p[3][3]},
                                       .surprise = m[i].surprise};
    }
    free(m);
    return true;
}
