/* How two clips belong together: which frames are of one time, and where one player lies on the
 * other. Pure. */
#ifndef SP_WINDOW_PAIRING_H
#define SP_WINDOW_PAIRING_H

#include <stdbool.h>

#include "serveplumb/point.h"
#include "window/session.h"

/* The moments that both reviews name, contact first: the one after `after` ("" or unknown: the
 * first). False when there is none. */
bool pairing_moment(const sp_review *a, const sp_review *b, const char *after,
                    char moment[SP_REVIEW_ID_MAX]);
/* Real time of `b` less that of `a` when both are at the moment; false when one does not name it.
 */
bool pairing_shift(const session *a, const session *b, const char *moment, double *shift_s);
/* The frame that is nearest to `time_s` of real time. */
int pairing_frame(const session *s, double time_s);

/* Upright pixel p of `b` lies on `at` + `zoom` p of `a`. */
typedef struct {
    double zoom;
    sp_point at;
    char words[320]; /* what it goes by, and what would make it better */
} pairing_fit;

/* The players' hips on one another at a moment at which both have them, the first wish `moment`;
 * as tall as each other where stature and scale are known, else in true size where the scales are,
 * else with trunks of one length. */
pairing_fit pairing_align(const session *a, const session *b, const char *moment);

#endif
