/* What took long to make, kept in the user's cache folder by a text that names all it was made of.
 * It is no loss when nothing can be kept. */
#ifndef SP_DELIVER_KEPT_H
#define SP_DELIVER_KEPT_H

#include <stddef.h>

#include "base/text.h"
#include "serveplumb/review_clip.h"

/* The review file, the clip file beside it and the program, as they are now. False when one of
 * them cannot be looked at. */
bool sp_kept_put_source(sp_text *key, const sp_review *review, const char *review_path);
/* The same of a review file that holds these bytes, with a clip file like this. */
bool sp_kept_put_parts(sp_text *key, const char *review_bytes, size_t length,
                       const sp_clip_stamp *clip);

/* Freed by the caller. False when there is none under exactly this key. */
bool sp_kept_read(const char *key, char **bytes, size_t *length);
void sp_kept_write(const char *key, const void *bytes, size_t length);
/* The oldest go where there are too many. */
void sp_kept_prune(void);

#endif
