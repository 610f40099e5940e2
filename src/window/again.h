/* The second tapping: the frames that were tapped come one after the other, without the first
 * points, and what is tapped goes into a file of its own, X.again.review.json. The session holds
 * that review meanwhile, so that the first is neither shown nor touched. At the end the typical
 * error of a tap stands in the sheet, and is offered as this coach's. */
#ifndef SP_WINDOW_AGAIN_H
#define SP_WINDOW_AGAIN_H

#include <limits.h>
#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/repeat.h"

struct window;

/* More teach little and tire the eye: the moments' frames first, then others spread over the clip.
 */
#define AGAIN_FRAMES_MAX 10

typedef struct {
    sp_review *first; /* NULL: no second tapping is under way */
    char first_path[PATH_MAX], path[PATH_MAX];
    int frames[AGAIN_FRAMES_MAX], frame_count;
    unsigned skipped[AGAIN_FRAMES_MAX]; /* bits of points that are not seen this time */
    int shown;                          /* the frame that was last gone to; -1: none */
    size_t compared;                    /* edits of the second when it was compared last */
    bool all_tapped, found;             /* nothing is due; and `repeat` holds the result */
    sp_repeat repeat;
    char why[600]; /* why it holds none */
} again_taps;

bool again_is_on(const struct window *w);
/* The next of the first taps without its second; false: all are there. */
bool again_due(const struct window *w, int *frame, sp_point_name *point);
/* The point that is due on the frame in view. */
bool again_due_here(const struct window *w, sp_point_name *point);
/* Goes to the frame that is due, or compares when all are tapped. */
void again_follow(struct window *w);
/* Enter: to the frame that is due; at the end takes the result. */
void again_next(struct window *w);
/* Leaves the point that is due out; false: none is. */
bool again_skip(struct window *w);
void again_free(struct window *w);
void again_words(const struct window *w, char *label, size_t label_size, char *title,
                 size_t title_size, char *hint, size_t hint_size);

#endif
