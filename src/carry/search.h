/* Looks for an appearance everywhere about an expected place: where a point moves farther from
 * frame to frame than its own size, no shift from the frame before leads to it. Turned a little
 * either way, on the halved picture where the window is large; normalized correlation. */
#ifndef SP_CARRY_SEARCH_H
#define SP_CARRY_SEARCH_H

#include "carry/align.h"
#include "carry/smoother.h"

#define CARRY_SEARCH_SDS 2.5

typedef struct {
    carry_warp warp;
    double likeness;
} carry_spot;

/* Within CARRY_SEARCH_SDS deviations of `about` and `reach` px. The
 * best `most` spots, the likeliest first; gives how many. The patch has two levels at least. */
int carry_search(const carry_appearance *a, const carry_patch *in, const carry_smoothed *about,
                 double reach, carry_spot *spots, int most);

#endif
