/* One mark of ink as the review and the talk-through hold it. */
#ifndef SP_REVIEW_INK_H
#define SP_REVIEW_INK_H

#include <cjson/cJSON.h>

#include "base/text.h"
#include "review/list.h"
#include "review/place.h"
#include "serveplumb/ink.h"

typedef struct {
    sp_ink ink; /* its points are owned */
    char *kept;
} sp_kept_ink;

void sp_kept_ink_free(void *item);
/* NULL without memory. */
sp_kept_ink *sp_kept_ink_new(const sp_ink *ink, const char *kept);
/* Puts `*item` in at the index, for what is there if `*there`, and gives that out; NULL stands for
 * none. False without memory: nothing has changed. */
bool sp_inks_swap(sp_list *inks, size_t index, bool *there, sp_kept_ink **item);
/* Reads one object, whatever else it holds is kept. */
sp_kept_ink *sp_ink_read(const sp_review_clip *clip, const cJSON *object, const sp_place *at,
                         sp_error *error);
/* As one object. */
void sp_ink_put(sp_text *text, const char *name, const sp_ink *ink, const char *kept);

#endif
