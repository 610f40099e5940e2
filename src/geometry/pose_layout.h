/* Whether tapped landmarks can give a pose at all, before any number is computed. */
#ifndef SP_GEOMETRY_POSE_LAYOUT_H
#define SP_GEOMETRY_POSE_LAYOUT_H

#include "serveplumb/pose.h"

/* False with the reason: too few or too many, named twice, tapped on one spot, on one line. */
bool sp_pose_layout_check(const sp_landmark_tap *taps, size_t count, sp_error *error);

#endif
