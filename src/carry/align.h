/* Finds where a small window of one picture lies in another.
 *
 * Both are inverse compositional: gradients and normal matrix belong to the window that is looked
 * for, and are made once (Baker and Matthews 2004, from memory); coarse to fine as in Bouguet's
 * note on Lucas and Kanade (2000, from memory). */
#ifndef SP_CARRY_ALIGN_H
#define SP_CARRY_ALIGN_H

#include "carry/patch.h"

/* What the point looks like at one place: values, gradients, weights that fall off from it. */
typedef struct {
    int radius, count;
    float values[CARRY_AREA_MAX], dx[CARRY_AREA_MAX], dy[CARRY_AREA_MAX], weight[CARRY_AREA_MAX];
    double weights, mean, spread; /* of the weighted values */
    double tensor[3];             /* xx, xy, yy: the weighted structure tensor */
} carry_appearance;

void carry_appearance_take(carry_appearance *a, const carry_plane *plane, sp_point at, int radius);

/* Shifts `to` until the window of `from` about `at` is met, from the smallest level to the largest.
 * False where no level has structure. `off` gets the root mean square difference. */
bool carry_shift(const carry_patch *from, sp_point at, const carry_patch *to, int radius,
                 sp_point *found, double *off);

/* An affine place of an appearance: value (i, j) lies at `at` + m (i, j). */
typedef struct {
    sp_point at;
    double m[4];
} carry_warp;

typedef struct {
    double likeness;  /* normalized correlation, -1..1 */
    double cov[3];    /* of the place: xx, xy, yy; residual noise over structure, px^2 */
    double sharpness; /* its gradients' energy over the appearance's */
} carry_match;

/* Refines `warp` on the full-size level; brightness and contrast may differ. */
void carry_refine(const carry_appearance *a, const carry_patch *in, carry_warp *warp,
                  carry_match *match);

#endif
