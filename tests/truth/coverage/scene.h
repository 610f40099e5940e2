/* One simulated serve: who serves, how it is filmed, and how it is tapped. The serve is that of the
 * demo generator, an independent model; nothing of the library is used to make it. */
#ifndef COVERAGE_SCENE_H
#define COVERAGE_SCENE_H

#include <stdbool.h>
#include <stdint.h>

#include "camera.h"
#include "serve.h"

#define VIEW_SIDE 0
#define VIEW_BACK 1
#define VIEW_FRONT 2

typedef struct {
    uint64_t dice;
    int view;
    serve serve;
    double yaw;            /* the whole serve but the struck ball, turned about the feet */
    double target_x;       /* where it lands: in the box across */
    double lean_x, lean_y; /* and leaned: so far aside for each metre of height */
    vector place, about;   /* where the feet stand; what it is turned about */
    camera camera;
    double away_m; /* from the camera to the feet, at right angles to the plane of motion */
    double rate, phase;
    int frames, touch; /* the touch comes between frame `touch` and the next */
    double tap_sd, stature_said;
    double drop_m;  /* how far the hand is below the elbow in the drop */
    bool rows_said; /* the review knows the camera's row time */
    double exposure_s;
    bool exposure_said;
} scene;

/* What is not left to the dice; 0 or -1 (view): is left to them. */
typedef struct {
    double rate, tap_sd, exposure_s;
    int view;
    bool large; /* 1920 x 1080 */
    size_t draws;
} fixed;

double dice_between(uint64_t *dice, double low, double high);
double dice_normal(uint64_t *dice);

/* False: this throw of the dice gives no serve that can be filmed; try the next. */
bool scene_new(scene *scene, uint64_t seed, const fixed *set);

/* The same serve by another camera of the same view, in another clip. */
void scene_film(scene *scene, const fixed *set);
/* Another serve of the same player before the same camera: by `wobble` of what players differ among
 * themselves (0: the very same), its drop deeper by so much. False as above. */
bool scene_again(scene *again, const scene *of, uint64_t seed, double wobble, double deeper_m);

/* s from the touch */
double scene_time(const scene *scene, int frame);
vector scene_point(const scene *scene, double time, body_point point);
vector scene_velocity(const scene *scene, double time, body_point point);
/* Seen on a frame, each at the time its row is read; false: not in the picture. */
bool scene_see(const scene *scene, int frame, body_point point, spot *seen);
/* The same at any time at which its row is open: a tap on a smear. */
bool scene_see_smeared(scene *scene, int frame, body_point point, spot *seen);
/* Where the toss would touch the ground were it let fall. */
vector scene_toss_landing(const scene *scene);
/* When and where it is as its row of that frame is read. */
double scene_when(const scene *scene, int frame, body_point point);
vector scene_place(const scene *scene, int frame, body_point point);
bool scene_in_picture(const scene *scene, spot seen);
/* Direction of the plane of motion: toward the net, or to the hitting side. */
vector scene_along(const scene *scene);

#endif
