/* Answers of the library to lines of numbers on standard input, for test_pose.py. CAMERA is nine of
 * the rotation, three of the translation, focal length, k1 and the middle:
 *   homography REFINE N  then N of: X Y U V          -> nine elements
 *   project CAMERA X Y Z                             -> U V
 *   straighten K1 X Y                                -> X Y
 *   fit F LENS CX CY N  then N of: X Y Z U V         -> CAMERA less its middle, sum of squares,
 *     deviations of log f and k1 (F 0: found; LENS 0: none, 1: found; each place exact, 1 px)
 *   plane CAMERA FX FY DX DY U V                     -> along, up, jacobian by rows
 *   ground CAMERA U V                                -> X Y */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "geometry/homography.h"
#include "geometry/lens.h"
#include "geometry/pose_fit.h"
#include "serveplumb/plane.h"

static double number(void) {
    double value;
    if (scanf("%lf", &value) != 1) exit(2);
    return value;
}

static sp_point point(void) {
    const double x = number();
    return (sp_point){x, number()};
}

static sp_world world(void) {
    const sp_point ground = point();
    return (sp_world){ground.x, ground.y, number()};
}

static sp_camera camera(void) {
    sp_camera read;
    for (int k = 0; k < 9; k++) read.rotation[k] = number();
    for (int k = 0; k < 3; k++) read.translation[k] = number();
    read.focal_px = number();
    read.radial = number();
    read.centre = point();
    return read;
}

static void homography(void) {
    const bool refine = number() != 0;
    const size_t count = (size_t)number();
    sp_point from[SP_HOMOGRAPHY_PAIRS_MAX], to[SP_HOMOGRAPHY_PAIRS_MAX];
    if (count > SP_HOMOGRAPHY_PAIRS_MAX) exit(2);
    for (size_t i = 0; i < count; i++) {
        from[i] = point();
        to[i] = point();
    }
    sp_homography found;
    if (!sp_homography_fit(from, to, count, refine, &found)) exit(3);
    for (int k = 0; k < 9; k++) printf("%.17g ", found.h[k]);
    printf("\n");
}

static void project(void) {
    const sp_camera by = camera();
    sp_point at;
    if (!sp_camera_project(&by, world(), &at)) exit(3);
    printf("%.17g %.17g\n", at.x, at.y);
}

static void straighten(void) {
    const double k1 = number();
    sp_point straight;
    if (!sp_lens_straighten(k1, point(), &straight)) exit(3);
    printf("%.17g %.17g\n", straight.x, straight.y);
}

static void fit(void) {
    const double focal = number(), lens = number();
    const sp_lens_belief belief = {focal, focal > 0 ? 0 : INFINITY, 0, lens != 0 ? INFINITY : 0};
    const sp_point centre = point();
    const size_t count = (size_t)number();
    sp_sight sights[SP_POSE_TAPS_MAX];
    if (count > SP_POSE_TAPS_MAX) exit(2);
    for (size_t i = 0; i < count; i++) {
        sights[i] = (sp_sight){.at = world(), .sd_px = 1};
        sights[i].seen = point();
    }
    sp_pose_fit found;
    if (sp_pose_fit_sights(sights, count, centre, 1100, &belief, &found) != SP_FIT_DONE) exit(3);
    for (int k = 0; k < 9; k++) printf("%.17g ", found.camera.rotation[k]);
    for (int k = 0; k < 3; k++) printf("%.17g ", found.camera.translation[k]);
    const double *c = found.covariance;
    printf("%.17g %.17g %.17g %.17g %.17g\n", found.camera.focal_px, found.camera.radial, found.sum,
           sqrt(c[6 * SP_POSE_PARAMETERS + 6]), sqrt(c[7 * SP_POSE_PARAMETERS + 7]));
}

static void plane(void) {
    const sp_camera by = camera();
    const sp_point foot = point(), direction = point();
    sp_plane in;
    sp_point at;
    sp_jacobian j;
    if (!sp_plane_through(&by, foot, direction, &in, NULL) ||
        !sp_plane_from_picture(&in, point(), &at, &j, NULL))
        exit(3);
    printf("%.17g %.17g %.17g %.17g %.17g %.17g\n", at.x, at.y, j.xx, j.xy, j.yx, j.yy);
}

static void ground(void) {
    const sp_camera by = camera();
    sp_point at;
    if (!sp_ground_from_picture(&by, point(), &at, NULL, NULL)) exit(3);
    printf("%.17g %.17g\n", at.x, at.y);
}

int main(void) {
    static const struct {
        const char *word;
        void (*answer)(void);
    } questions[] = {{"homography", homography}, {"project", project},
                     {"straighten", straighten}, {"fit", fit},
                     {"plane", plane},           {"ground", ground}};
    char word[16];
    while (scanf("%15s", word) == 1)
        for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++)
            if (strcmp(word, questions[i].word) == 0) questions[i].answer();
    return 0;
}
