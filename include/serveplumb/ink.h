/* Ink: what the coach draws on the picture, in the hues of the overlay. Each mark is seen on the
 * frames from_frame to to_frame. Upright pixels. */
#ifndef SERVEPLUMB_INK_H
#define SERVEPLUMB_INK_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/review.h"

typedef enum { SP_INK_STROKE, SP_INK_LINE, SP_INK_ARROW, SP_INK_CIRCLE } sp_ink_kind;
/* Each is the hue that the overlay gives to what it is named after. */
typedef enum {
    SP_HUE_HITTING_ARM,
    SP_HUE_BODY,
    SP_HUE_RACQUET,
    SP_HUE_BALL,
    SP_HUE_PLUMB,
    SP_HUE_SCALE,
    SP_HUE_COUNT
} sp_hue;
#define SP_INK_KINDS 4
#define SP_INK_POINTS_MAX ((size_t)500)

typedef struct {
    sp_ink_kind kind;
    sp_hue hue;
    int from_frame, to_frame;
    /* stroke: its way, 1 to SP_INK_POINTS_MAX. line: both ends. arrow: its tail and its tip.
     * circle: its middle and a place on it. */
    sp_point *points;
    size_t count;
} sp_ink;

/* The words of the file: "stroke", "hitting_arm". */
const char *sp_ink_kind_id(sp_ink_kind kind);
const char *sp_hue_id(sp_hue hue);

/* In the order in which they were drawn. Points are borrowed until the next edit. */
size_t sp_review_ink_count(const sp_review *review);
const sp_ink *sp_review_ink_at(const sp_review *review, size_t index);

/* Edits of the review: each can be undone. The points are copied. */
bool sp_review_add_ink(sp_review *review, const sp_ink *ink, sp_error *error);
/* Puts another in its place; NULL removes. */
bool sp_review_set_ink(sp_review *review, size_t index, const sp_ink *ink, sp_error *error);

bool sp_ink_is_on(const sp_ink *ink, int frame);
/* From a place to the nearest of what is drawn. */
double sp_ink_distance(const sp_ink *ink, sp_point at);

#endif
