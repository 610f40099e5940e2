/* What took long to make, kept in the user's cache folder by a text that names all it was made of.
 * It is no loss when nothing can be kept. */
#ifndef SP_DELIVER_KEPT_H
#define SP_DELIVER_KEPT_H

#include <stddef.h>

#include "base/text.h"
#include "serveplumb/review.h"

/* The review file, the clip file beside it and the program, as they are now. False when one of
 * them cannot be looked at. */
bool sp_kept_put_source(sp_text *key, const sp_review *review, const char *review_path);

/* Freed by the caller. False when there is none under exactly this key. */
bool sp_kept_read(const char *key, char **bytes, size_t *length);
void sp_kept_write(const char *key, const void *bytes, size_t length);
/* The oldest go where there are too many. */
void sp_kept_prune(void);

#endif
