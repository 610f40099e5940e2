/* What is allowed in a review: the reader and the setters ask the same functions. `at` is the place
 * for the message. */
#ifndef SP_REVIEW_CHECK_H
#define SP_REVIEW_CHECK_H

#include "review/place.h"
#include "serveplumb/ink.h"
#include "serveplumb/review.h"

#define SP_REVIEW_SLOWDOWN_MAX 100.0
#define SP_REVIEW_ROW_TIME_MAX 0.2 /* s: a read-out of five frames a second */
#define SP_REVIEW_EXPOSURE_MAX 1.0 /* s */
#define SP_REVIEW_SD_MAX 1000.0    /* px */
#define SP_REVIEW_DISTANCE_MAX 1000.0
#define SP_REVIEW_NOTE_MAX ((size_t)65535) /* bytes */
#define SP_REVIEW_LIST_MAX ((size_t)1000)  /* scales; moments; of checks */
#define SP_REVIEW_DATE_SIZE 11

bool sp_check_clip(const sp_review_clip *clip, const sp_place *at, sp_error *error);
bool sp_check_slowdown(double slowdown, const sp_place *at, sp_error *error);
bool sp_check_row_time(double row_time_s, const sp_place *at, sp_error *error);
bool sp_check_exposure(double exposure_s, const sp_place *at, sp_error *error);
bool sp_check_player(const sp_player *player, const sp_place *at, sp_error *error);
bool sp_check_net(sp_view view, sp_net net, const sp_place *at, sp_error *error);
bool sp_check_points_sd(double sd_px, const sp_place *at, sp_error *error);
/* Level and hang. */
bool sp_plumb_has_taps(sp_plumb_method method);
bool sp_check_plumb(const sp_review_clip *clip, const sp_plumb_entry *plumb, const sp_place *at,
                    sp_error *error);
bool sp_check_scale(const sp_review_clip *clip, const sp_scale_entry *entry, const sp_place *at,
                    sp_error *error);
bool sp_check_moment(const sp_review_clip *clip, const sp_moment *moment, const sp_place *at,
                     sp_error *error);
bool sp_check_frame(const sp_review_clip *clip, int frame, const sp_place *at, sp_error *error);
bool sp_check_mark(const sp_review_clip *clip, const sp_mark *mark, const sp_place *at,
                   sp_error *error);
bool sp_check_note(const char *text, const sp_place *at, sp_error *error);
#define SP_REVIEW_ORDER_MAX 1e6
bool sp_check_judgement(const sp_review_clip *clip, const sp_judgement *judgement,
                        const sp_place *at, sp_error *error);
bool sp_check_finding(const sp_finding_entry *entry, const sp_place *at, sp_error *error);
bool sp_check_ink(const sp_review_clip *clip, const sp_ink *ink, const sp_place *at,
                  sp_error *error);
bool sp_check_date(const char *date, const sp_place *at, sp_error *error);

#endif
