/* The court by its landmarks: picked on a drawn court, tapped on the frame, and the fitted court
 * drawn over the picture, so that a wrong tap is seen at once. */
#ifndef SP_WINDOW_COURT_H
#define SP_WINDOW_COURT_H

#include <stdbool.h>

#include "serveplumb/pose.h"
#include "serveplumb/review.h"
#include "window/brush.h"

struct window;

typedef struct {
    sp_scale_entry entry; /* that the pose is of; no id: none */
    sp_pose pose;
    bool fits;       /* may be measured with */
    bool drawn;      /* good enough to show where taps disagree */
    char words[600]; /* what is missing or in doubt; may be empty */
} court;

/* NULL: the review has no scale by the court. */
const sp_scale_entry *court_entry(const sp_review *review);
/* After the review changed. */
void court_refresh(struct window *w);
/* The landmark that is asked for was tapped. */
void court_tap(struct window *w, sp_point at);
/* The taps with what they miss the fit by, and the court as the fit has it. `place`: from upright
 * pixels to the painter. */
void court_paint(const struct window *w, sp_paint *paint,
                 sp_point (*place)(const struct window *w, sp_point upright));

/* Lines of the court between landmarks. */
typedef struct {
    const char *from, *to;
} court_line;
#define COURT_LINES 15
extern const court_line court_lines[COURT_LINES];

/* court_card.c */
bool court_card_paint(struct window *w, sp_error *error);
void court_card_key(struct window *w, int key);

#endif
