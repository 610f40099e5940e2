#include "carry/search.h"

#include <math.h>

/* From this radius on the halved picture serves; half the window's side there, at most. */
#define HALVED_FROM 10
#define HALF_MAX (CARRY_RADIUS_MAX / 2)
#define SAMPLES_MAX ((2 * HALF_MAX + 1) * (2 * HALF_MAX + 1))
/* The appearance is looked for turned by none, and by so much either way; refining does the rest.
 */
#define TURNS 3
#define TURN 0.5
/* A part of the picture with less than this part of the appearance's contrast is nothing. */
#define CONTRAST_LEAST 0.5

typedef struct {
    int grain; /* pixels of the picture in one of the plane that is searched */
    int half, count;
    float weight[SAMPLES_MAX], values[TURNS][SAMPLES_MAX]; /* weighted, mean removed */
    double m[TURNS][4], spread[TURNS], weights;
} pattern;

static float value_at(const carry_appearance *a, double x, double y) {
    const double most = 2 * a->radius - 0.001;
    x = fmin(fmax(x + a->radius, 0.0), most);
    y = fmin(fmax(y + a->radius, 0.0), most);
    const int left = (int)x, top = (int)y, side = 2 * a->radius + 1;
    const float fx = (float)(x - left), fy = (float)(y - top);
    const float *v = a->values + (size_t)top * (size_t)side + (size_t)left;
    const float up = v[0] + fx * (v[1] - v[0]);
    return up + fy * (v[side] + fx * (v[side + 1] - v[side]) - up);
}

/* What the appearance, turned by m, shows at (x, y) of the plane. */
static float pattern_at(const carry_appearance *a, int grain, const double m[4], int x, int y) {
    float sum = 0;
    for (int row = 0; row < grain; row++)
        for (int column = 0; column < grain; column++) {
            const double i = grain * x + column - 0.5 * (grain - 1);
            const double j = grain * y + row - 0.5 * (grain - 1);
            sum += value_at(a, m[0] * i + m[2] * j, m[1] * i + m[3] * j);
        }
    return sum / (float)(grain * grain);
}

static void turn_pattern(const carry_appearance *a, int turn, pattern *p) {
    const int middle = TURNS / 2;
    const double angle = (turn - middle) * TURN, c = cos(angle), s = sin(angle);
    double *m = p->m[turn];
    m[0] = m[3] = c;
    m[1] = -s;
    m[2] = s;
    float sum = 0, square = 0, *values = p->values[turn], *weight = p->weight;
    for (int y = -p->half, n = 0; y <= p->half; y++)
        for (int x = -p->half; x <= p->half; x++, n++) {
            values[n] = pattern_at(a, p->grain, m, x, y);
            sum += weight[n] * values[n];
            square += weight[n] * values[n] * values[n];
        }
    const double mean = (double)sum / p->weights;
    p->spread[turn] = sqrt(fmax(0.0, (double)square / p->weights - mean * mean));
    for (int n = 0; n < p->count; n++) values[n] = weight[n] * (values[n] - (float)mean);
}

static void make_pattern(const carry_appearance *a, pattern *p) {
    *p = (pattern){.grain = a->radius < HALVED_FROM ? 1 : 2};
    p->half = a->radius / p->grain;
    p->count = (2 * p->half + 1) * (2 * p->half + 1);
    const double fall = -1.0 / (1.1 * p->half * p->half);
    for (int j = -p->half, n = 0; j <= p->half; j++)
        for (int i = -p->half; i <= p->half; i++, n++) {
            p->weight[n] = (float)exp(fall * (i * i + j * j));
            p->weights += (double)p->weight[n];
        }
    for (int t = 0; t < TURNS; t++) turn_pattern(a, t, p);
}

/* The likeliest turn at one place of the plane. */
static double compare_at(const pattern *p, const carry_plane *plane, int left, int top, int *turn) {
    const int side = 2 * p->half + 1;
    float sum = 0, square = 0, joint[TURNS] = {0};
    for (int j = 0; j < side; j++) {
        const float *restrict v =
            plane->values + (size_t)(top + j) * (size_t)plane->width + (size_t)left;
        const float *restrict w = p->weight + (size_t)j * (size_t)side;
        for (int i = 0; i < side; i++) {
            sum += w[i] * v[i];
            square += w[i] * v[i] * v[i];
        }
        for (int t = 0; t < TURNS; t++) {
            const float *restrict values = p->values[t] + (size_t)j * (size_t)side;
            float both = 0;
            for (int i = 0; i < side; i++) both += values[i] * v[i];
            joint[t] += both;
        }
    }
    const double mean = (double)sum / p->weights;
    const double spread = sqrt(fmax(0.0, (double)square / p->weights - mean * mean));
    double best = -1;
    for (int t = 0; t < TURNS; t++) {
        const double least = CONTRAST_LEAST * p->spread[t];
        const double likeness =
            (double)joint[t] / p->weights / fmax(p->spread[t] * fmax(spread, least), 0.25);
        if (likeness <= best) continue;
        best = likeness;
        *turn = t;
    }
    return best;
}

/* Keeps the best `most`, each a window's half from the others. */
static void keep(carry_spot *spots, int most, int *count, const carry_spot *new, double apart) {
    int at = *count;
    for (int k = 0; k < *count; k++)
        if (sp_point_distance(spots[k].warp.at, new->warp.at) < apart) {
            if (spots[k].likeness < new->likeness) spots[k] = *new;
            return;
        }
    while (at > 0 && spots[at - 1].likeness < new->likeness) at--;
    if (at >= most) return;
    if (*count < most) ++*count;
    for (int k = *count - 1; k > at; k--) spots[k] = spots[k - 1];
    spots[at] = *new;
}

int carry_search(const carry_appearance *a, const carry_patch *in, const carry_smoothed *about,
                 double reach, carry_spot *spots, int most) {
    const double xx = about->cov[0], xy = about->cov[1], yy = about->cov[2];
    const double det = fmax(xx * yy - xy * xy, 1e-9);
    pattern p;
    int count = 0;
    make_pattern(a, &p);
    const carry_plane *plane = &in->planes[p.grain - 1];
    const double x0 = about->at.x / p.grain - plane->x0 - 0.5 - p.half;
    const double y0 = about->at.y / p.grain - plane->y0 - 0.5 - p.half;
    const int far = (int)ceil(reach / p.grain), side = 2 * p.half + 1;
    for (int top = (int)y0 - far; top <= (int)y0 + far; top++)
        for (int left = (int)x0 - far; left <= (int)x0 + far; left++) {
            if (left < 0 || top < 0 || left + side > plane->width || top + side > plane->height)
                continue;
            const double x = p.grain * (left - x0), y = p.grain * (top - y0);
            if (yy * x * x - 2 * xy * x * y + xx * y * y >
                CARRY_SEARCH_SDS * CARRY_SEARCH_SDS * det)
                continue;
            int turn = 0;
            carry_spot s = {.likeness = compare_at(&p, plane, left, top, &turn)};
            s.warp.at = (sp_point){p.grain * (left + plane->x0 + 0.5 + p.half),
                                   p.grain * (top + plane->y0 + 0.5 + p.half)};
            for (int k = 0; k < 4; k++) s.warp.m[k] = p.m[turn][k];
            keep(spots, most, &count, &s, a->radius);
        }
    return count;
}
