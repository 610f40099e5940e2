/* A pinhole camera with one radial term, and a shutter that may read row after row.
 * Picture points: pixels, x right, y down, from the outer corner of the top left pixel. */
#ifndef DEMO_CAMERA_H
#define DEMO_CAMERA_H

#include <stdbool.h>

#include "vector.h"

typedef struct {
    double x, y;
} spot;

typedef struct {
    vector position, look; /* looks from position to look, at the middle of the picture */
    double focal_px;
    double roll;     /* the picture's up leans to the right by this, rad */
    double k1;       /* distorted = plain (1 + k1 r^2), r in units of the focal length */
    double row_time; /* read-out from the first row to the last, s */
    int width, height;
    vector right, down, forward; /* set by camera_aim */
} camera;

void camera_aim(camera *camera);
double camera_depth(const camera *camera, vector at);
/* False when the point is not in front of the camera, or aside of what its lens can show. */
bool camera_sees(const camera *camera, vector at, spot *spot);
/* Size in pixels of one metre square to the view at `at`. */
double camera_scale(const camera *camera, vector at);

#endif
