/* The marks as other programs take them, and back in.
 *
 * CSV (RFC 4180, UTF-8): a row a point. COCO keypoints as JSON: an image a marked frame, one
 * annotation on each; the 17 keypoints of COCO first, in its order, then ours (body.h). Both give
 * upright pixels with the origin at the outer corner of the top-left pixel, which is also COCO's
 * ("measured from the top left image corner", from memory of its format page): nothing is shifted.
 */
#ifndef SERVEPLUMB_MARKS_EXCHANGE_H
#define SERVEPLUMB_MARKS_EXCHANGE_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/readout.h"
#include "serveplumb/review.h"

/* frame,clip_s,real_s,point,x_px,y_px,sd_px,by; freed by the caller, NULL without memory. */
char *sp_marks_detach_csv(const sp_review *review, sp_frame_times times, sp_error *error);
char *sp_marks_detach_coco(const sp_review *review, sp_error *error);

/* Sets each mark that the text holds, as edits of the review; other marks stay. Of CSV the columns
 * frame, point, x_px and y_px are needed, in any order; sd_px and by are taken where they are,
 * other columns are not read. Of COCO the frame is the member "frame" of the image, else the last
 * number in its file_name; points of other names are left out. `name` stands for the file in
 * messages, which name the row or member; `text` ends with a zero byte that `length` does not
 * count. On failure the review may hold some of them. `count` (may be NULL) gets how many were set.
 */
bool sp_marks_take_csv(sp_review *review, const char *text, size_t length, const char *name,
                       size_t *count, sp_error *error);
bool sp_marks_take_coco(sp_review *review, const char *text, size_t length, const char *name,
                        size_t *count, sp_error *error);

#endif
