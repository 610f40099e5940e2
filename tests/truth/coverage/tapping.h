/* The review that a coach with a steady but imperfect hand makes of a scene. */
#ifndef COVERAGE_TAPPING_H
#define COVERAGE_TAPPING_H

#include "scene.h"
#include "serveplumb/readout.h"

typedef struct {
    int release, trophy, drop, contact, bounce; /* frames; -1: not in the clip */
} moments;

typedef struct {
    sp_review *review; /* with the scales "line" and, where enough landmarks are seen, "court" */
    bool has_court;
    moments at;
} tapping;

bool tapping_make(scene *scene, tapping *tapping);

#endif
