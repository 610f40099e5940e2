/* Indexes kept in the person's cache folder, so that a clip opened again is there at once.
 *
 * $XDG_CACHE_HOME/serveplumb/index or ~/.cache/serveplumb/index; safe to delete at any time. A file
 * is named by the clip's size, time of change and a hash of its head and tail, and by the versions
 * of ours and of FFmpeg. It is believed only when its sums and its bounds hold, and when the
 * packets found later are those it tells of. Nothing fails because of it. */
#ifndef SP_CLIP_KEPT_INDEX_H
#define SP_CLIP_KEPT_INDEX_H

#include <stdbool.h>

#include "clip/index.h"

/* Whether the clip is large enough for a kept index to be sooner than a new one. */
bool sp_kept_index_pays(const sp_reader *reader);

/* False, and the index left empty, when there is none that fits. */
bool sp_kept_index_read(sp_index *index, const sp_reader *reader);
/* As it was built, before anything was learnt in decoding. The oldest goes where there are many. */
void sp_kept_index_write(const sp_index *index, const sp_reader *reader);
void sp_kept_index_delete(const sp_reader *reader);

#endif
