/* The camera's projection with its derivatives, and small changes of a camera. */
#ifndef SP_GEOMETRY_CAMERA_H
#define SP_GEOMETRY_CAMERA_H

#include "serveplumb/pose.h"

typedef struct {
    sp_point at;
    double depth; /* along the axis, metres; <= 0: behind, `at` is then only a stand-in */
    /* Derivatives of the picture point by the parameters of pose.h at no change, and by the
     * place; rows x and y. */
    double by_parameters[2][SP_POSE_PARAMETERS];
    double by_place[2][3];
} sp_projection;

void sp_camera_derive(const sp_camera *camera, sp_world place, sp_projection *projection);
/* The camera after the change: turned by change[0..2], shifted by change[3..5], and so on. */
sp_camera sp_camera_changed(const sp_camera *camera, const double change[SP_POSE_PARAMETERS]);
/* Direction of the ray through a picture point, in the court frame, not of length 1. False beyond
 * the lens term's fold. */
bool sp_camera_ray(const sp_camera *camera, sp_point at, double direction[3]);

#endif
