/* Where things lie on the strip. */
#ifndef SP_DRAW_STRIP_LAYOUT_H
#define SP_DRAW_STRIP_LAYOUT_H

#include "serveplumb/strip.h"

/* Moves `count` labels, given by their wanted centres in increasing order and their widths, along a
 * line so that they lie `gap` apart between `low` and `high`, each as near to its wanted place as
 * the others allow (least squares). `centers` is changed in place. False when they do not fit. */
bool sp_strip_spread(double *centers, const double *widths, int count, double gap, double low,
                     double high);

/* The shortest round step (1, 2 or 5 times a power of ten) that is at least `at_least`. */
double sp_strip_round_step(double at_least);

#endif
