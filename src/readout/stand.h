/* Where the player stands on a court whose pose is known: the vertical plane of motion. */
#ifndef SP_READOUT_STAND_H
#define SP_READOUT_STAND_H

#include "readout/door.h"
#include "serveplumb/plane.h"
#include "serveplumb/pose.h"

#define SP_STAND_FEET_MAX 2

typedef struct {
    sp_pose pose;
    int feet[SP_STAND_FEET_MAX]; /* slots: toes or, where none is marked, ankles */
    int foot_count;
    bool by_toes;
    double foot_height_m, foot_height_sd_m; /* of those points above the ground */
    double depth_sd_m;                      /* of the whole body off the plane through the feet */
    sp_plane plane;                         /* at the best values */
    double away_m;                          /* from the camera to it, at right angles */
    double m_per_px;                        /* at the best values, where the body is */
} sp_stand;

/* False with the reason in `error`; `stand->pose` is then filled where its error was
 * SP_ERROR_MISMATCH. */
bool sp_stand_find(sp_door *door, const sp_scale_entry *entry, sp_stand *stand, sp_error *error);

/* The plane as another camera sees the feet at other places (upright pixels, mirrored at the door,
 * in the order of `feet`). */
bool sp_stand_plane(const sp_stand *stand, const sp_door *door, const sp_camera *camera,
                    const sp_point *feet, double foot_height_m, sp_plane *plane, sp_error *error);
/* The camera as it sees a ground that is higher by `height_m`. */
sp_camera sp_stand_over(const sp_camera *camera, double height_m);
/* From the camera to the plane at right angles, and the camera's own place in plane coordinates. */
double sp_stand_away_m(const sp_plane *plane);
sp_point sp_stand_eye(const sp_plane *plane);
/* From the player's body to the camera, court frame. */
sp_world sp_stand_way(const sp_plane *plane);

/* What one standard deviation of everything does: the scale (relative) and the plumb (degrees). */
typedef struct {
    double scale_sd, plumb_deg, plumb_sd_deg;
} sp_stand_spread;
sp_stand_spread sp_stand_spread_of(const sp_stand *stand, const sp_door *door);

/* Metres per pixel and true up of the picture where the body is. */
#define SP_STAND_BODY_HEIGHT_M 1.4

#endif
