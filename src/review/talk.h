/* The talk-through in memory. */
#ifndef SP_REVIEW_TALK_H
#define SP_REVIEW_TALK_H

#include "review/ink.h"
#include "review/list.h"
#include "serveplumb/talk.h"

#define SP_TALK_FORMAT "serveplumb-talk"
#define SP_TALK_VERSION 1

typedef struct {
    sp_talk_action action;
    char *kept; /* members that are not known, as compact JSON */
    sp_kept_ink *ink;
} sp_kept_action;

typedef struct {
    sp_talk_take take;
    sp_list actions; /* of sp_kept_action, in order of time */
    char *kept;
} sp_kept_take;

typedef struct {
    sp_talk_piece *items;
    size_t count;
} sp_pieces;

struct sp_talk {
    sp_review_clip clip;
    sp_list takes; /* of sp_kept_take */
    sp_pieces pieces;
    sp_pieces *before; /* what they were, oldest first */
    size_t before_count, before_room;
    char *kept;
};

void sp_kept_action_free(void *item);
void sp_kept_take_free(void *item);
/* Copies the points of ink. NULL without memory. */
sp_kept_action *sp_kept_action_new(const sp_talk_action *action);
/* What is allowed; the reader and sp_talk_add ask it. */
bool sp_check_talk_action(const sp_review_clip *clip, const sp_talk_action *action,
                          const sp_place *at, sp_error *error);
bool sp_check_voice(const char *voice, const sp_place *at, sp_error *error);

#endif
