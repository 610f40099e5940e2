/* Names of the points that a coach taps: COCO keypoints, and those of hand, foot, racquet and ball.
 * One table for the file, the window, the measures and the tests. */
#ifndef SERVEPLUMB_BODY_H
#define SERVEPLUMB_BODY_H

#include <stdbool.h>

typedef enum {
    SP_POINT_NOSE,
    SP_POINT_LEFT_EYE,
    SP_POINT_RIGHT_EYE,
    SP_POINT_LEFT_EAR,
    SP_POINT_RIGHT_EAR,
    SP_POINT_LEFT_SHOULDER,
    SP_POINT_RIGHT_SHOULDER,
    SP_POINT_LEFT_ELBOW,
    SP_POINT_RIGHT_ELBOW,
    SP_POINT_LEFT_WRIST,
    SP_POINT_RIGHT_WRIST,
    SP_POINT_LEFT_HIP,
    SP_POINT_RIGHT_HIP,
    SP_POINT_LEFT_KNEE,
    SP_POINT_RIGHT_KNEE,
    SP_POINT_LEFT_ANKLE,
    SP_POINT_RIGHT_ANKLE,
    SP_POINT_LEFT_HAND, /* middle knuckle */
    SP_POINT_RIGHT_HAND,
    SP_POINT_LEFT_TOE,
    SP_POINT_RIGHT_TOE,
    SP_POINT_RACQUET_BUTT,
    SP_POINT_RACQUET_TIP,
    SP_POINT_HAND_HEEL,
    SP_POINT_BALL,
    SP_POINT_COUNT,
} sp_point_name;

typedef enum { SP_HAND_RIGHT, SP_HAND_LEFT } sp_hand;

const char *sp_point_id(sp_point_name name);    /* "right_elbow", as in the file */
const char *sp_point_title(sp_point_name name); /* "right elbow", for people */
const char *sp_point_hint(sp_point_name name);  /* where exactly to tap, a short phrase */
bool sp_point_find(const char *id, sp_point_name *name);

/* Everything is written for a right-hander, whose hitting side is the right. For a left-hander this
 * swaps left and right; racquet, ball and nose stay. */
sp_point_name sp_point_for_hand(sp_point_name right_handed, sp_hand hand);

#endif
