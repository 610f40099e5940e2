/* The server, racquet and ball as shapes in space: what is to be drawn, not how. */
#ifndef DEMO_FIGURE_H
#define DEMO_FIGURE_H

#include <stddef.h>

#include "body.h"
#include "ink.h"

typedef struct {
    vector at;
    double radius; /* m */
} disc;

typedef enum {
    SHAPE_HULL, /* the tight skin around its discs, shaded as a rounded body; flat when translucent
                 */
    SHAPE_FACE, /* the polygon through its discs, translucent */
    SHAPE_RING, /* a closed stroke through its discs, as wide as the first disc */
    SHAPE_LINE  /* an open one */
} shape_kind;

/* Parts are drawn from the farthest to the nearest, the shapes of one part in order of `layer`. */
typedef enum {
    PART_OFF_LEG,
    PART_HIT_LEG,
    PART_TRUNK,
    PART_HEAD,
    PART_OFF_ARM,
    PART_HIT_ARM,
    PART_STRINGS,
    PART_HANDLE,
    PART_BALL,
    PART_COUNT
} part;

typedef struct {
    shape_kind kind;
    part part;
    int layer; /* negative: not seen from here */
    ink colour;
    double alpha;
    size_t first, count;
} shape;

#define DISCS_MAX 420
#define SHAPES_MAX 110

typedef struct {
    disc discs[DISCS_MAX];
    size_t disc_count;
    shape shapes[SHAPES_MAX];
    size_t shape_count;
    vector anchor[PART_COUNT]; /* where the part is held to be, when sorting by depth */
    double nearer[PART_COUNT]; /* m to be taken off its depth */
} figure;

/* The same discs and shapes in the same order for every pose; only places and layers differ.
 * `size` is stature / 1.82 m. */
void figure_build(const pose *pose, vector viewer, double size, figure *figure);

#endif
