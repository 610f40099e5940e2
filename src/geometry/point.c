#include "serveplumb/point.h"

#include <math.h>

sp_point sp_point_add(sp_point a, sp_point b) { return (sp_point){a.x + b.x, a.y + b.y}; }

sp_point sp_point_subtract(sp_point a, sp_point b) { return (sp_point){a.x - b.x, a.y - b.y}; }

sp_point sp_point_times(sp_point a, double factor) {
    return (sp_point){a.x * factor, a.y * factor};
}

sp_point sp_point_middle(sp_point a, sp_point b) {
    return (sp_point){a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2};
}

double sp_point_dot(sp_point a, sp_point b) { return a.x * b.x + a.y * b.y; }

double sp_point_cross(sp_point a, sp_point b) { return a.x * b.y - a.y * b.x; }

double sp_point_length(sp_point a) { return hypot(a.x, a.y); }

double sp_point_distance(sp_point a, sp_point b) {
    return sp_point_length(sp_point_subtract(a, b));
}
