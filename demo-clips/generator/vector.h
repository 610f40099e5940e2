/* Vectors of space in metres. World frame: x to the right seen from behind the server, y from the
 * outer edge of the near baseline to the net, z up; the origin is the middle of the centre mark. */
#ifndef DEMO_VECTOR_H
#define DEMO_VECTOR_H

#include <math.h>

typedef struct {
    double x, y, z;
} vector;

/* A frame fixed to a part of the body: its own right, front and up, all unit vectors. */
typedef struct {
    vector right, front, up;
} triad;

static inline vector vec(double x, double y, double z) { return (vector){x, y, z}; }
static inline vector add(vector a, vector b) { return vec(a.x + b.x, a.y + b.y, a.z + b.z); }
static inline vector sub(vector a, vector b) { return vec(a.x - b.x, a.y - b.y, a.z - b.z); }
static inline vector scale(vector a, double s) { return vec(a.x * s, a.y * s, a.z * s); }
static inline vector along(vector a, vector d, double s) { return add(a, scale(d, s)); }
static inline vector blend(vector a, vector b, double s) { return along(a, sub(b, a), s); }
static inline double dot(vector a, vector b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
static inline double length(vector a) { return sqrt(dot(a, a)); }
static inline vector unit(vector a) { return scale(a, 1.0 / length(a)); }
static inline vector cross(vector a, vector b) {
    return vec(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x);
}

/* `a` turned by `angle` in the plane of the perpendicular unit vectors a and b, from a toward b. */
static inline vector turn(vector a, vector b, double angle) {
    return add(scale(a, cos(angle)), scale(b, sin(angle)));
}

/* `v` turned by the smallest rotation that carries unit vector `from` to unit vector `to`. */
static inline vector carry(vector v, vector from, vector to) {
    vector axis = cross(from, to);
    double c = dot(from, to);
    vector twice = cross(axis, v);
    return add(add(scale(v, c), twice), scale(axis, dot(axis, v) / (1.0 + c)));
}

static inline double radians(double degrees) { return degrees * (M_PI / 180.0); }
static inline double degrees(double radians) { return radians * (180.0 / M_PI); }

#endif
