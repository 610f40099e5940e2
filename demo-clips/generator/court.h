/* The court by the ITF Rules of Tennis, Rule 1: distances to the outside of the lines, and to the
 * middle of the centre mark and the centre service line; 1 ft = 0.3048 m. */
#ifndef DEMO_COURT_H
#define DEMO_COURT_H

#include <stddef.h>

#include "vector.h"

#define FEET(n) ((n)*0.3048)
#define HALF_SINGLES FEET(13.5)
#define HALF_DOUBLES FEET(18.0)
#define SERVICE_LINE FEET(18.0) /* from the baseline */
#define NET_LINE FEET(39.0)
#define COURT_LENGTH FEET(78.0)
#define NET_MIDDLE FEET(3.0)
#define NET_POST FEET(3.5)
#define POST_FROM_MIDDLE FEET(21.0)
#define LINE_WIDTH 0.05
#define BASELINE_WIDTH 0.08

typedef struct {
    const char *id;
    vector at;
} landmark;

extern const landmark court_landmarks[];
extern const size_t court_landmark_count;

/* Painted lines as ground rectangles. */
typedef struct {
    double left, right, near, far;
} painted;

extern const painted court_lines[];
extern const size_t court_line_count;

#endif
