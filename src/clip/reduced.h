/* Reduced pictures of a clip's frames, kept as JPEG in memory within a budget: for the moving hand,
 * where exact frames cannot keep up. */
#ifndef SP_CLIP_REDUCED_H
#define SP_CLIP_REDUCED_H

#include <stdbool.h>
#include <stddef.h>

#include "clip/frame.h"

typedef struct sp_reduced sp_reduced;

/* For `frames` frames like `sample`. NULL without memory. */
sp_reduced *sp_reduced_new(int frames, size_t budget, const sp_frame *sample);
void sp_reduced_free(sp_reduced *reduced);

/* Makes and keeps one, by one thread only; false when the budget is used up or it cannot be made,
 * which is remembered. */
bool sp_reduced_put(sp_reduced *reduced, const sp_frame *frame);
/* Frame n has none and never will. */
void sp_reduced_skip(sp_reduced *reduced, int n);
/* The first frame from `from` on, past the end from 0 on, that is still to be made; -1: none, or
 * the budget is used up. */
int sp_reduced_missing(sp_reduced *reduced, int from);

/* For any thread, and so is what follows; decodes in it. NULL when there is none. Owned. */
sp_frame *sp_reduced_get(sp_reduced *reduced, int n);
bool sp_reduced_has(sp_reduced *reduced, int n);
void sp_reduced_measure(sp_reduced *reduced, int *count, size_t *bytes);

#endif
