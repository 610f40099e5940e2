/* Where in the document something stands, for messages: "x.review.json: marks[3].points.ball". */
#ifndef SP_REVIEW_PLACE_H
#define SP_REVIEW_PLACE_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"

/* One step of the way, on the stack of whoever takes it. The first step (`up` NULL) is the name of
 * the file, or words for an edit; a step without a name is an index of an array. */
typedef struct sp_place {
    const struct sp_place *up;
    const char *name;
    size_t index;
} sp_place;

/* SP_ERROR_FORMAT with the place in front of "expected ...". `member` may be NULL: the place
 * itself. Long ways are cut. */
bool sp_fail_at(const sp_place *at, const char *member, sp_error *error, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

#endif
