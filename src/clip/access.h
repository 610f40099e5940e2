/* What the frame service does with a clip beyond the public header. */
#ifndef SP_CLIP_ACCESS_H
#define SP_CLIP_ACCESS_H

#include <stdatomic.h>

#include "clip/cache.h"
#include "serveplumb/clip.h"

/* Asked between two pictures: whether to give up. */
typedef struct {
    bool (*asks)(void *context);
    void *context;
} sp_stop;

/* Sees each exact picture that comes on the way, kept or not. */
typedef struct {
    void (*sees)(void *context, sp_frame *frame);
    void *context;
} sp_watcher;

/* As sp_clip_frame, but SP_ERROR_CANCELLED when `stop` asks so; what came until then is kept. Does
 * not say where the person is: the caller moves the cache. */
sp_frame *sp_clip_frame_unless(sp_clip *clip, int n, sp_stop stop, sp_error *error);
void sp_clip_watch(sp_clip *clip, sp_watcher watcher);
/* From when `left` becomes true, nothing waits for the clip's process, which may be made to be
 * silent or to talk without end. */
void sp_clip_heed(sp_clip *clip, const atomic_bool *left);

/* From now on what is decoded is only seen by the watcher and given, not kept: so a pass over the
 * clip uses the same memory over and over. */
void sp_clip_set_passing(sp_clip *clip, bool passing);

/* For any thread. */
sp_frame *sp_clip_fail_end(const sp_clip *clip, sp_error *error);
sp_cache *sp_clip_cache(sp_clip *clip);

/* The lowest frame that decoding towards frame n also gives, and how many packets that takes. */
int sp_clip_group_begin(const sp_clip *clip, int n, int *packets);
/* The same for going backward, where decoding begins earlier than it has to. */
int sp_clip_refill_begin(sp_clip *clip, int n);
/* Whether the process that decodes it has ended. */
bool sp_clip_is_gone(const sp_clip *clip);
/* Whether it is known that frame n cannot be had. */
bool sp_clip_has_lost(const sp_clip *clip, int n);

#endif
