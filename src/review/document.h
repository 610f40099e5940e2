/* The review in memory. `kept`: the members that we do not know, as compact JSON
 * ("\"a\":1,\"b\":2"), NULL when there are none; they are written back where they were. */
#ifndef SP_REVIEW_DOCUMENT_H
#define SP_REVIEW_DOCUMENT_H

#include "review/check.h"
#include "review/history.h"
#include "review/list.h"
#include "review/lists.h"
#include "review/marks.h"
#include "serveplumb/review.h"

#define SP_REVIEW_FORMAT "serveplumb-review"
#define SP_REVIEW_VERSION 1

struct sp_review {
    sp_review_clip clip;
    sp_player player;
    sp_view view;
    sp_net net;
    double points_sd_px;
    sp_plumb_entry plumb;
    sp_list scales;                /* of sp_kept_scale */
    char active[SP_REVIEW_ID_MAX]; /* id of the scale in use; "" none */
    sp_list moments;               /* of sp_kept_moment */
    sp_marks marks;
    sp_list notes;                      /* of sp_kept_note */
    sp_list judgements;                 /* of sp_kept_judgement */
    sp_list findings;                   /* of sp_kept_finding */
    sp_list inks;                       /* of sp_kept_ink, in the order in which they were drawn */
    char *speeds;                       /* not interpreted: the whole value as compact JSON */
    char reviewed[SP_REVIEW_DATE_SIZE]; /* "" none */
    char *kept, *clip_kept, *player_kept, *plumb_kept;
    sp_history history;
};

/* Everything at its default, without a clip. NULL without memory. */
sp_review *sp_review_empty(void);

/* What the members after the method mean depends on it: those that it does not use are zero. */
void sp_plumb_tidy(sp_plumb_entry *plumb);
void sp_scale_tidy(sp_scale_entry *entry);

#endif
