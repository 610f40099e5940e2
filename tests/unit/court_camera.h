/* A camera at a court and the taps of a coach who sees the court through it. Include after cmocka
 * and near.h. */
#ifndef SP_TESTS_COURT_CAMERA_H
#define SP_TESTS_COURT_CAMERA_H

#include "serveplumb/draws.h"
#include "serveplumb/pose.h"

#define WIDTH 1920
#define HEIGHT 1080

static inline void unit_of(double v[3]) {
    const double length = sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    for (int i = 0; i < 3; i++) v[i] /= length;
}

/* Stands at `from`, looks at `to`, rolled by `roll` radians, f in pixels. */
static inline sp_camera looking(sp_world from, sp_world to, double roll, double focal_px) {
    double z[3] = {to.x - from.x, to.y - from.y, to.z - from.z};
    unit_of(z);
    double x[3] = {z[1], -z[0], 0}; /* forward cross up */
    unit_of(x);
    const double y[3] = {z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2],
                         z[0] * x[1] - z[1] * x[0]};
    sp_camera camera = {.focal_px = focal_px, .centre = {WIDTH / 2.0, HEIGHT / 2.0}};
    for (int i = 0; i < 3; i++) {
        camera.rotation[i] = cos(roll) * x[i] + sin(roll) * y[i];
        camera.rotation[3 + i] = -sin(roll) * x[i] + cos(roll) * y[i];
        camera.rotation[6 + i] = z[i];
    }
    for (int i = 0; i < 3; i++) {
        const double *r = camera.rotation + 3 * (size_t)i;
        camera.translation[i] = -(r[0] * from.x + r[1] * from.y + r[2] * from.z);
    }
    return camera;
}

static inline sp_camera camera_a(void) {
    return looking((sp_world){-9, -2.5, 1.6}, (sp_world){0, 1.5, 1.2}, 0.02, 1600);
}

static inline sp_point noisy(sp_point at, double sd, sp_random *random) {
    return (sp_point){at.x + sd * sp_random_normal(random), at.y + sd * sp_random_normal(random)};
}

/* Taps with the given noise; the court is as the table says, within the table's own deviations. */
static inline void tap_all(const sp_camera *camera, const char *const *names, size_t count,
                           double noise_px, sp_random *random, sp_landmark_tap *taps) {
    for (size_t i = 0; i < count; i++) {
        const sp_landmark *landmark = sp_landmark_find(names[i]);
        if (landmark == NULL) fail_msg("no landmark %s", names[i]);
        const double share = noise_px > 0 ? 1 : 0;
        const sp_world at = {landmark->at.x + share * landmark->sd.x * sp_random_normal(random),
                             landmark->at.y + share * landmark->sd.y * sp_random_normal(random),
                             landmark->at.z + share * landmark->sd.z * sp_random_normal(random)};
        sp_point seen;
        if (!sp_camera_project(camera, at, &seen)) fail_msg("%s is not seen", names[i]);
        taps[i] = (sp_landmark_tap){landmark, noisy(seen, noise_px, random),
                                    noise_px > 0 ? noise_px : 1.0};
    }
}

#endif
