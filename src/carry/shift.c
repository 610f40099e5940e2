/* Lucas and Kanade's translation, coarse to fine. */
#include <math.h>

#include "carry/align.h"

#define STEPS_MAX 12
#define STEP_LEAST 0.02
/* The smaller eigenvalue of the structure tensor, per pixel, below which a window is called flat:
 * grey levels squared per pixel squared. Below it noise of two grey levels moves the window. */
#define STRUCTURE_LEAST 0.8

typedef struct {
    int radius;
    const carry_appearance *window;
    double inverse[3];
    bool flat;
} aim;

static void prepare(aim *a, const carry_appearance *window) {
    const double xx = window->tensor[0], xy = window->tensor[1], yy = window->tensor[2];
    const double det = xx * yy - xy * xy, trace = xx + yy;
    const double least = 0.5 * (trace - sqrt(fmax(0.0, trace * trace - 4.0 * det)));
    a->window = window;
    a->radius = window->radius;
    a->flat = least < STRUCTURE_LEAST * window->weights;
    if (a->flat) {
        /* Along an edge only: the greater direction counts, the other is held. */
        const double held = 0.02 * trace + 1e-6;
        const double d = (xx + held) * (yy + held) - xy * xy;
        a->inverse[0] = (yy + held) / d;
        a->inverse[1] = -xy / d;
        a->inverse[2] = (xx + held) / d;
        return;
    }
    a->inverse[0] = yy / det;
    a->inverse[1] = -xy / det;
    a->inverse[2] = xx / det;
}

/* One step; gives its length and leaves the root mean square difference before it. */
static double step(const aim *a, const carry_plane *plane, sp_point *at, double *off) {
    float seen[CARRY_AREA_MAX];
    carry_plane_window(plane, *at, a->radius, seen);
    const carry_appearance *w = a->window;
    float bx = 0, by = 0, square = 0;
    for (int i = 0; i < w->count; i++) {
        const float difference = seen[i] - w->values[i], weighted = w->weight[i] * difference;
        bx += weighted * w->dx[i];
        by += weighted * w->dy[i];
        square += weighted * difference;
    }
    const double x = a->inverse[0] * (double)bx + a->inverse[1] * (double)by;
    const double y = a->inverse[1] * (double)bx + a->inverse[2] * (double)by;
    const double length = hypot(x, y), most = 0.7 * a->radius;
    const double held = length > most ? most / length : 1.0;
    at->x -= held * x;
    at->y -= held * y;
    *off = sqrt((double)square / w->weights);
    return length * held;
}

bool carry_shift(const carry_patch *from, sp_point at, const carry_patch *to, int radius,
                 sp_point *found, double *off) {
    carry_appearance window;
    aim a;
    bool structured = false;
    for (int level = to->levels - 1; level >= 0; level--) {
        const double scale = 1.0 / (1 << level);
        carry_appearance_take(&window, &from->planes[level], sp_point_times(at, scale), radius);
        prepare(&a, &window);
        structured = structured || !a.flat;
        sp_point here = sp_point_times(*found, scale);
        for (int i = 0; i < STEPS_MAX; i++)
            if (step(&a, &to->planes[level], &here, off) < STEP_LEAST) break;
        *found = sp_point_times(here, 1.0 / scale);
    }
    return structured;
}
