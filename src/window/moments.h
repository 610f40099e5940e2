/* The moments that have a key of their own. */
#ifndef SP_WINDOW_MOMENTS_H
#define SP_WINDOW_MOMENTS_H

#include <stdbool.h>

#include "serveplumb/review.h"

typedef struct {
    const char *name; /* as in the file */
    const char *find; /* which frame it is, a short phrase */
} moment_kind;

#define MOMENT_COUNT 6
const moment_kind *moment_kind_at(int index);
/* The named moment on a frame; NULL when there is none. */
const sp_moment *moment_on(const sp_review *review, int frame);
/* Some measure of the view is taken at this moment. */
bool moment_asked(const char *name, sp_view view);

#endif
