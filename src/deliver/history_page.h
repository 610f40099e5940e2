/* The sections of a history's page. */
#ifndef SP_DELIVER_HISTORY_PAGE_H
#define SP_DELIVER_HISTORY_PAGE_H

#include "deliver/history_views.h"
#include "deliver/page.h"
#include "serveplumb/check.h"
#include "serveplumb/history_page.h"

/* Which measures of the catalogue stand in front: asked for, or changed. Room for all of them. */
typedef struct {
    bool *asked, *shown;
} sp_history_front;

/* What was asked at the end of each day, and what the next one showed. */
bool sp_history_asked(sp_page *page, const sp_history *history, const sp_checks *checks,
                      sp_error *error);
/* Marks the measures of all that was ever asked. */
void sp_history_mark_asked(const sp_history *history, const sp_checks *checks, bool *asked);
/* Did it change from the first day of the view to the last? Marks what did as shown. */
bool sp_history_verdicts(sp_page *page, const sp_history_view *view,
                         const sp_history_page_options *options, const sp_history_front *front,
                         sp_error *error);
/* NULL or none: nothing. */
bool sp_history_speeds(sp_page *page, const sp_speed_days *days, sp_error *error);
/* What of the measures changed together with the speed between the same days. */
bool sp_history_together(sp_page *page, const sp_speed_days *days, const sp_history_view *view,
                         const sp_comparison *comparison, sp_error *error);
/* The moments that the first and the last day of the view both name, beside each other. */
bool sp_history_pictures(sp_page *page, const sp_history_view *view, sp_error *error);
/* Each measure that has a number on two days or more, over the days: those in front, the others
 * folded. */
bool sp_history_charts(sp_page *page, const sp_history_view *view, const sp_history_front *front,
                       sp_error *error);

#endif
