/* Named places of the court and where they lie. One table that the file, the window, the pose and
 * the tests read.
 *
 * Court frame: metres; X to the right as seen from behind the server, Y from the outer edge of the
 * server's baseline toward the net, Z up; origin at the middle of the server's centre mark, on the
 * edge of the baseline away from the net. `near` is the server's end wherever the camera stands;
 * left and right are those of the server who looks at the net.
 * Source of the distances: ITF Rules of Tennis, Rule 1, exact from feet (1 ft = 0.3048 m): to the
 * outside of the lines, but to the middle of the centre mark and of the centre service line. */
#ifndef SERVEPLUMB_LANDMARK_H
#define SERVEPLUMB_LANDMARK_H

#include <stdbool.h>
#include <stddef.h>

/* A place in the court frame, or the standard deviations of its three coordinates. */
typedef struct {
    double x, y, z;
} sp_world;

typedef struct {
    const char *id;   /* "near_left_singles_corner", as in the file */
    const char *name; /* for people: "left singles corner, server's end" */
    const char *edge; /* which edge or corner to tap */
    sp_world at;
    /* Of the true court against the table: ITF CS 04/02 allows 0.1 % of a distance, 5 mm at least,
     * 10 mm more where the net is involved, taken as rectangular: half-width / sqrt 3. */
    sp_world sd;
} sp_landmark;

size_t sp_landmark_count(void);
const sp_landmark *sp_landmark_at(size_t index); /* NULL past the last */
const sp_landmark *sp_landmark_find(const char *id);
/* On the ground; the others are tops of the net. */
bool sp_landmark_on_ground(const sp_landmark *landmark);
/* Its twin on the other side of the centre line; itself when it lies on that line. */
const sp_landmark *sp_landmark_mirrored(const sp_landmark *landmark);

#endif
