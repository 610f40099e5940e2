/* What to decode ahead of the person. */
#ifndef SP_CLIP_PLAN_H
#define SP_CLIP_PLAN_H

#include "clip/access.h"

typedef struct {
    int position, direction; /* of the person: -1 or +1 */
    bool at_rest;
    int fruitless; /* a frame that was decoded for and did not stay; -1: none */
} sp_plan_view;

/* The frame to decode for next, -1 when all that makes sense is there. For the clip's thread. */
int sp_plan_next(sp_clip *clip, const sp_plan_view *view);

#endif
