#include "carry/smoother.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* x, its velocity, its acceleration, the shared errors of the first and the second way; then y's */
#define N 10
#define AXIS 5
#define FIRST 3
#define SECOND 4
/* Before anything is seen: any speed and any turn that a serve has, in pixels and seconds. */
#define VELOCITY_SD 2e4
#define ACCELERATION_SD 1e6
/* A sighting farther off than this many deviations counts the less, the farther it is. */
#define DOUBT 4.0
/* Less than this part of a variance left over by the others is rounding. */
#define CERTAIN 1e-11
/* Powers of the wander that are tried: so many deviations either way. */
#define WANDER_REACH 2.5
#define WANDER_TRIALS 21
#define WANDER_MORE 1.3

typedef struct {
    double x[N], p[N][N];
} state;

typedef struct {
    state expected, known;
    double f[AXIS][AXIS]; /* from the time before */
} moment;

static void step_matrix(const carry_evidence *e, double t, double f[AXIS][AXIS]) {
    const double rows[AXIS][AXIS] = {{1, t, 0.5 * t * t, 0, 0},
                                     {0, 1, t, 0, 0},
                                     {0, 0, 1, 0, 0},
                                     {0, 0, 0, e->begins ? 0 : 1, e->begins ? 1 : 0},
                                     {0, 0, 0, 0, e->kept}};
    memcpy(f, rows, sizeof rows);
}

static void go_on(const state *from, double f[AXIS][AXIS], const carry_evidence *e, double t,
                  double wander, state *to) {
    const double q[AXIS][AXIS] = {
        {wander * pow(t, 5) / 20, wander * pow(t, 4) / 8, wander * pow(t, 3) / 6},
        {wander * pow(t, 4) / 8, wander * pow(t, 3) / 3, wander * t * t / 2},
        {wander * pow(t, 3) / 6, wander * t * t / 2, wander * t},
        {[FIRST] = e->first_noise},
        {[SECOND] = e->second_noise}};
    double half[N][N];
    for (int r = 0; r < N; r++) {
        const int axis = r / AXIS * AXIS;
        to->x[r] = 0;
        for (int k = 0; k < AXIS; k++) to->x[r] += f[r % AXIS][k] * from->x[axis + k];
        for (int c = 0; c < N; c++) {
            half[r][c] = 0;
            for (int k = 0; k < AXIS; k++) half[r][c] += f[r % AXIS][k] * from->p[axis + k][c];
        }
    }
    for (int r = 0; r < N; r++)
        for (int c = 0; c < N; c++) {
            to->p[r][c] = r / AXIS == c / AXIS ? q[r % AXIS][c % AXIS] : 0.0;
            for (int k = 0; k < AXIS; k++)
                to->p[r][c] += half[r][c / AXIS * AXIS + k] * f[c % AXIS][k];
        }
}

/* A racquet that meets the ball, or a ball that is met: any velocity is possible again. */
static void break_motion(state *s) {
    for (int axis = 0; axis < N; axis += AXIS) {
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

/* How far a place is from what was expected, squared, in deviations. `error` is the state's place
 * of its shared error. */
static double surprise_of(const state *s, const carry_place *place, int error) {
    double c[2][2];
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 2; k++) {
            const int r = AXIS * i, o = AXIS * k;
            c[i][k] = place->cov[i + k] + s->p[r][o] + s->p[r][o + error] + s->p[r + error][o] +
                      s->p[r + error][o + error];
        }
    const double x = place->at.x - s->x[0] - s->x[error];
    const double y = place->at.y - s->x[AXIS] - s->x[AXIS + error];
    return (c[1][1] * x * x - 2 * c[0][1] * x * y + c[0][0] * y * y) /
           fmax(c[0][0] * c[1][1] - c[0][1] * c[0][1], 1e-12);
}

/* Both coordinates: the second without what the first told of it. */
static double take_place(state *s, const carry_place *place, int error, bool tap) {
    if (!place->there) return 0;
    const double surprise = surprise_of(s, place, error);
    const double doubt = !tap && surprise > DOUBT * DOUBT ? surprise / (DOUBT * DOUBT) : 1.0;
    const double xx = place->cov[0] * doubt, xy = place->cov[1] * doubt;
    const double yy = place->cov[2] * doubt, tilt = xy / xx;
    double h1[N] = {1}, h2[N] = {-tilt};
    h1[error] = 1;
    h2[error] = -tilt;
    h2[AXIS] = h2[AXIS + error] = 1;
    const double unlikely = take(s, h1, place->at.x - s->x[0] - s->x[error], xx);
    const double x = place->at.x - s->x[0] - s->x[error];
    const double y = place->at.y - s->x[AXIS] - s->x[AXIS + error];
    return unlikely + take(s, h2, y - tilt * x, fmax(yy - xy * tilt, 1e-6));
}

static void take_length(state *s, const carry_evidence *e) {
    const double x = s->x[0] - e->partner.x, y = s->x[AXIS] - e->partner.y, l = hypot(x, y);
    /* Too uncertain a place has no direction to measure along. */
    if (l <= e->length || s->p[0][0] + s->p[AXIS][AXIS] > l * l) return;
    const double h[N] = {[0] = x / l, [AXIS] = y / l};
    take(s, h, e->length - l, e->length_sd * e->length_sd);
}

static void begin(state *s) {
    memset(s, 0, sizeof *s);
    for (int axis = 0; axis < N; axis += AXIS) {
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
        const double t = i == 0 ? 0 : e[i].seconds - e[i - 1].seconds;
        step_matrix(&e[i], t, m[i].f);
        if (i > 0 && e[i].broken) break_motion(&s);
        go_on(&s, m[i].f, &e[i], t, wander, &m[i].expected);
        s = m[i].expected;
        unlikely += take_place(&s, &e[i].first, FIRST, false);
        unlikely += take_place(&s, &e[i].second, SECOND, e[i].tap);
        if (e[i].measured) take_length(&s, &e[i]);
        m[i].known = s;
    }
    return unlikely;
}

/* Cholesky's factor of p. What is known for certain, such as the shared error of a way that does
 * not begin yet, has no part in it: 1 in `certain`. */
static void factor(double p[N][N], double l[N][N], bool certain[N]) {
    memset(l, 0, sizeof(double[N][N]));
    for (int r = 0; r < N; r++) {
        for (int c = 0; c <= r; c++) {
            double sum = p[r][c];
            for (int k = 0; k < c; k++) sum -= l[r][k] * l[c][k];
            if (r == c) {
                certain[r] = sum <= CERTAIN * p[r][r] || sum <= 0;
                l[r][r] = certain[r] ? 1 : sqrt(sum);
            } else {
                l[r][c] = certain[c] ? 0 : sum / l[c][c];
            }
        }
        for (int c = 0; certain[r] && c < r; c++) l[r][c] = 0;
    }
}

/* g = b p^-1, p symmetric. */
static void gain_of(double p[N][N], double b[N][N], double g[N][N]) {
    double l[N][N];
    bool certain[N];
    factor(p, l, certain);
    for (int row = 0; row < N; row++) {
        double *x = g[row];
        memcpy(x, b[row], sizeof(double[N]));
        for (int r = 0; r < N; r++) {
            for (int k = 0; k < r; k++) x[r] -= l[r][k] * x[k];
            x[r] = certain[r] ? 0 : x[r] / l[r][r];
        }
        for (int r = N - 1; r >= 0; r--) {
            for (int k = r + 1; k < N; k++) x[r] -= l[k][r] * x[k];
            x[r] = certain[r] ? 0 : x[r] / l[r][r];
        }
    }
}

/* known(i) F', the covariance of here with what is expected next. */
static void across(const state *known, double f[AXIS][AXIS], double b[N][N]) {
    for (int r = 0; r < N; r++)
        for (int c = 0; c < N; c++) {
            b[r][c] = 0;
            for (int k = 0; k < AXIS; k++)
                b[r][c] += known->p[r][c / AXIS * AXIS + k] * f[c % AXIS][k];
        }
}

/* Improves moment i by the one after it, which is already improved. */
static void look_back(moment *here, moment *next, const state *later) {
    double b[N][N], g[N][N], spread[N][N];
    across(&here->known, next->f, b);
    gain_of(next->expected.p, b, g);
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

/* The power that the evidence and what was known of it leave, toward its greater side: few
 * sightings, or ones that happen to lie on an easy way, do not prove that the motion is easy. */
static double believed(const carry_evidence *e, size_t count, carry_wander wander, moment *m) {
    double powers[WANDER_TRIALS], unlikely[WANDER_TRIALS], least = INFINITY;
    if (wander.power_sd <= 0) return pow(10, wander.power);
    for (int i = 0; i < WANDER_TRIALS; i++) {
        const double off = WANDER_REACH * (2.0 * i / (WANDER_TRIALS - 1) - 1);
        powers[i] = wander.power + off * wander.power_sd;
        unlikely[i] = run_forward(e, count, pow(10, powers[i]), m) + 0.5 * off * off;
        least = fmin(least, unlikely[i]);
    }
    double weights = 0, mean = 0, square = 0;
    for (int i = 0; i < WANDER_TRIALS; i++) {
        const double w = exp(least - unlikely[i]);
        weights += w;
        mean += w * powers[i];
        square += w * powers[i] * powers[i];
    }
    mean /= weights;
    return pow(10, mean + WANDER_MORE * sqrt(fmax(0.0, square / weights - mean * mean)));
}

bool carry_smooth(const carry_evidence *e, size_t count, carry_wander wander,
                  carry_smoothed *smoothed, sp_error *error) {
    moment *m = calloc(count, sizeof *m);
    if (m == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
    run_forward(e, count, believed(e, count, wander, m), m);
    for (size_t i = count - 1; i-- > 0;) look_back(&m[i], &m[i + 1], &m[i + 1].known);
    for (size_t i = 0; i < count; i++) {
        const state *s = &m[i].known;
        smoothed[i] = (carry_smoothed){.at = {s->x[0], s->x[AXIS]},
                                       .cov = {s->p[0][0], s->p[0][AXIS], s->p[AXIS][AXIS]}};
    }
    free(m);
    return true;
}
