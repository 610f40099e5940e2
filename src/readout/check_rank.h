/* The order of work: what is not met, by weight and clearness, or where the coach put it. */
#ifndef SP_READOUT_CHECK_RANK_H
#define SP_READOUT_CHECK_RANK_H

#include "readout/checks.h"

#define SP_PROPOSED_MAX 2

typedef struct {
    sp_finding *finding;
    double order;     /* the coach's; 0: none */
    double clearness; /* sp_finding_clearness */
    double key;       /* where it stands by: the coach's order, or its place by the weights */
    size_t nth;       /* in the order of the files */
    bool proposed;
} sp_ranked;

/* Sorts `items`, whose findings, orders and nth are set, and gives each finding its place. At most
 * SP_PROPOSED_MAX are proposed: not those of weight 0 nor those held back, unless the coach gave
 * them their place or words of their own. */
void sp_rank(sp_ranked *items, size_t count);

/* Why the item at `index` of the sorted ones stands there. */
void sp_rank_why(const sp_ranked *items, size_t count, size_t index, char *text, size_t size);

#endif
