/* The process that decodes one clip: shut in, then asked over a socket (talk.h). */
#ifndef SP_CLIP_SERVE_H
#define SP_CLIP_SERVE_H

#include <stddef.h>

/* Until the other side ends. `arena`: the file of its pictures, of this size; -1: none. */
void sp_serve(int socket, int arena, size_t arena_bytes);

#endif
