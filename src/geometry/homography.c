#include "geometry/homography.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_linalg.h>

#include "geometry/least_squares.h"
#include "geometry/matrix3.h"
#include "geometry/numerics.h"

#define ROWS_MAX (2 * SP_HOMOGRAPHY_PAIRS_MAX)
#define TERMS 9

/* Below this ratio to the largest singular value a second direction counts as open as well: the
 * points lie on a line to about a millionth of their spread. */
static const double OPEN = 1e-6;

typedef struct {
    double matrix[9], inverse[9];
} similarity;

/* Centroid to 0, mean distance to sqrt 2. False when all points are one. */
static bool normalize(const sp_point *points, size_t count, similarity *to, sp_point *normal) {
    sp_point centre = {0, 0};
    for (size_t i = 0; i < count; i++) centre = sp_point_add(centre, points[i]);
    centre = sp_point_times(centre, 1 / (double)count);
    double distance = 0;
    for (size_t i = 0; i < count; i++) distance += sp_point_distance(points[i], centre);
    distance /= (double)count;
    if (!(distance > 0) || !isfinite(distance)) return false;
    const double s = sqrt(2) / distance;
    for (size_t i = 0; i < count; i++)
        normal[i] = sp_point_times(sp_point_subtract(points[i], centre), s);
    *to = (similarity){.matrix = {s, 0, -s * centre.x, 0, s, -s * centre.y, 0, 0, 1},
                       .inverse = {1 / s, 0, centre.x, 0, 1 / s, centre.y, 0, 0, 1}};
    return true;
}

static void fill_rows(const sp_point *from, const sp_point *to, size_t count, double *rows) {
    for (size_t i = 0; i < count; i++) {
        const double x = from[i].x, y = from[i].y, u = to[i].x, v = to[i].y;
        const double pair[2][TERMS] = {{0, 0, 0, -x, -y, -1, v * x, v * y, v},
                                       {x, y, 1, 0, 0, 0, -u * x, -u * y, -u}};
        memcpy(rows + 2 * i * TERMS, pair, sizeof pair);
    }
}

/* The right singular vector of the smallest singular value; rows of zeros make up the square. */
static bool null_vector(double *rows, size_t count, double h[TERMS], double *separation) {
    const size_t height = count < TERMS ? TERMS : count;
    double v[TERMS * TERMS], s[TERMS], work[TERMS];
    gsl_matrix_view a = gsl_matrix_view_array(rows, height, TERMS);
    gsl_matrix_view vectors = gsl_matrix_view_array(v, TERMS, TERMS);
    gsl_vector_view values = gsl_vector_view_array(s, TERMS);
    gsl_vector_view room = gsl_vector_view_array(work, TERMS);
    if (gsl_linalg_SV_decomp(&a.matrix, &vectors.matrix, &values.vector, &room.vector) !=
        GSL_SUCCESS)
        return false;
    if (!(s[TERMS - 2] > OPEN * s[0])) return false;
    *separation = s[TERMS - 1] / s[TERMS - 2];
    for (size_t k = 0; k < TERMS; k++) h[k] = v[k * TERMS + TERMS - 1];
    return true;
}

/* --- refinement ------------------------------------------------------------------------------ */

typedef struct {
    const sp_point *from, *to;
    size_t count;
    double h[TERMS];
    size_t fixed; /* the largest element stays, which takes the free scale away */
} refinement;

static void set_free(const refinement *task, const double *parameters, double h[TERMS]) {
    for (size_t k = 0, free = 0; k < TERMS; k++)
        h[k] = k == task->fixed ? task->h[k] : parameters[free++];
}

static void fill_row(const refinement *task, const double full[TERMS], double *row) {
    for (size_t k = 0, free = 0; k < TERMS; k++)
        if (k != task->fixed) row[free++] = full[k];
}

static void distances(const double *parameters, const void *data, double *residuals,
                      double *derivatives) {
    const refinement *task = data;
    double h[TERMS];
    set_free(task, parameters, h);
    for (size_t i = 0; i < task->count; i++) {
        const double x = task->from[i].x, y = task->from[i].y;
        const double w = h[6] * x + h[7] * y + h[8];
        const double u = (h[0] * x + h[1] * y + h[2]) / w, v = (h[3] * x + h[4] * y + h[5]) / w;
        if (residuals != NULL) {
            residuals[2 * i] = u - task->to[i].x;
            residuals[2 * i + 1] = v - task->to[i].y;
        }
        if (derivatives == NULL) continue;
        const double of_u[TERMS] = {x / w, y / w, 1 / w, 0, 0, 0, -u * x / w, -u * y / w, -u / w};
        const double of_v[TERMS] = {0, 0, 0, x / w, y / w, 1 / w, -v * x / w, -v * y / w, -v / w};
        fill_row(task, of_u, derivatives + 2 * i * (TERMS - 1));
        fill_row(task, of_v, derivatives + (2 * i + 1) * (TERMS - 1));
    }
}

/* Leaves h as it was when the search does not settle: the DLT is an answer too. */
static void refine_elements(const sp_point *from, const sp_point *to, size_t count,
                            double h[TERMS]) {
    refinement task = {.from = from, .to = to, .count = count};
    memcpy(task.h, h, sizeof task.h);
    for (size_t k = 1; k < TERMS; k++)
        if (fabs(h[k]) > fabs(h[task.fixed])) task.fixed = k;
    double parameters[TERMS - 1], sum;
    fill_row(&task, h, parameters);
    if (sp_least_squares(distances, &task, 2 * count, TERMS - 1, parameters, &sum, NULL))
        set_free(&task, parameters, h);
}

/* --- the whole ------------------------------------------------------------------------------- */

static double rms_of(const sp_homography *homography, const sp_point *from, const sp_point *to,
                     size_t count) {
    if (count <= 4) return NAN;
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        const double d = sp_point_distance(sp_homography_apply(homography->h, from[i]), to[i]);
        sum += d * d;
    }
    return sqrt(sum / (2 * (double)count - 8));
}

static void scale_to_norm_1(double h[TERMS]) {
    double sum = 0;
    for (int k = 0; k < TERMS; k++) sum += h[k] * h[k];
    for (int k = 0; k < TERMS; k++) h[k] /= sqrt(sum);
}

bool sp_homography_fit(const sp_point *from, const sp_point *to, size_t count, bool refine,
                       sp_homography *homography) {
    if (count < 4 || count > SP_HOMOGRAPHY_PAIRS_MAX) return false;
    sp_geometry_by_status();
    sp_point source[SP_HOMOGRAPHY_PAIRS_MAX], target[SP_HOMOGRAPHY_PAIRS_MAX];
    similarity of_source, of_target;
    if (!normalize(from, count, &of_source, source) || !normalize(to, count, &of_target, target))
        return false;
    double rows[ROWS_MAX * TERMS] = {0}, h[TERMS];
    fill_rows(source, target, count, rows);
    if (!null_vector(rows, 2 * count, h, &homography->separation)) return false;
    if (refine) refine_elements(source, target, count, h);
    double half[9];
    sp_matrix3_multiply(h, of_source.matrix, half);
    sp_matrix3_multiply(of_target.inverse, half, homography->h);
    scale_to_norm_1(homography->h);
    homography->rms = rms_of(homography, from, to, count);
    return true;
}

sp_point sp_homography_apply(const double h[9], sp_point from) {
    double to[3];
    sp_matrix3_apply(h, (const double[3]){from.x, from.y, 1}, to);
    return (sp_point){to[0] / to[2], to[1] / to[2]};
}
