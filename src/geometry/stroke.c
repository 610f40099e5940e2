#include "serveplumb/stroke.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>

static double distance_to_piece(sp_point a, sp_point b, sp_point at) {
    const sp_point way = sp_point_subtract(b, a);
    const double squared = sp_point_dot(way, way);
    const double along =
        squared > 0.0 ? sp_point_dot(sp_point_subtract(at, a), way) / squared : 0.0;
    const double kept = fmax(0.0, fmin(along, 1.0));
    return sp_point_distance(at, sp_point_add(a, sp_point_times(way, kept)));
}

/* The point between two that lies farthest from the line between them; 0: all lie near. */
static size_t farthest(const sp_point *points, size_t first, size_t last, double tolerance) {
    size_t found = 0;
    double most = tolerance;
    for (size_t i = first + 1; i < last; i++) {
        const double away = distance_to_piece(points[first], points[last], points[i]);
        if (away <= most) continue;
        most = away;
        found = i;
    }
    return found;
}

/* Each end that is still open is halved at its farthest point: no more than the points left. */
size_t sp_stroke_thin(sp_point *points, size_t count, double tolerance) {
    if (count < 3) return count;
    size_t kept = 1, first = 0;
    while (first < count - 1) {
        size_t last = count - 1;
        for (size_t split; (split = farthest(points, first, last, tolerance)) != 0;) last = split;
        points[kept++] = points[last];
        first = last;
    }
    return kept;
}

/* Of the quadratic B-spline with its ends tripled to reach them: piece `i` lies around point i. */
static sp_point knot(const sp_point *points, size_t count, size_t i) {
    if (i == 0) return points[0];
    if (i == count - 1) return points[count - 1];
    return sp_point_middle(points[i], points[i + 1]);
}

void sp_stroke_smooth(const sp_point *points, size_t count, sp_point *smooth) {
    if (count < 3) {
        for (size_t i = 0; i < count; i++) smooth[i] = points[i];
        return;
    }
    size_t put = 0;
    smooth[put++] = points[0];
    for (size_t i = 1; i < count; i++) {
        /* the last two pieces share the last corner */
        const sp_point from = knot(points, count, i - 1), to = knot(points, count, i);
        const sp_point bend = i == count - 1 ? sp_point_middle(from, to) : points[i];
        for (int k = 1; k <= SP_STROKE_PIECES; k++) {
            const double t = (double)k / SP_STROKE_PIECES, u = 1.0 - t;
            smooth[put].x = u * u * from.x + 2.0 * u * t * bend.x + t * t * to.x;
            smooth[put++].y = u * u * from.y + 2.0 * u * t * bend.y + t * t * to.y;
        }
    }
    assert(put == sp_stroke_smooth_count(count));
}

double sp_stroke_length(const sp_point *points, size_t count) {
    double length = 0.0;
    for (size_t i = 1; i < count; i++) length += sp_point_distance(points[i - 1], points[i]);
    return length;
}

size_t sp_stroke_cut(sp_point *points, size_t count, double share) {
    double left = sp_stroke_length(points, count) * fmax(0.0, fmin(share, 1.0));
    if (share >= 1.0) return count;
    for (size_t i = 1; i < count; i++) {
        const double piece = sp_point_distance(points[i - 1], points[i]);
        if (piece < left || !(piece > 0.0)) {
            left -= piece;
            continue;
        }
        const sp_point way = sp_point_subtract(points[i], points[i - 1]);
        points[i] = sp_point_add(points[i - 1], sp_point_times(way, left / piece));
        return left > 0.0 ? i + 1 : i;
    }
    return count;
}

double sp_stroke_distance(const sp_point *points, size_t count, sp_point at) {
    double least = count == 1 ? sp_point_distance(points[0], at) : INFINITY;
    for (size_t i = 1; i < count; i++)
        least = fmin(least, distance_to_piece(points[i - 1], points[i], at));
    return least;
}
