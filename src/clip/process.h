/* Processes for decoders.
 *
 * They come from one that was forked before this program had threads or files, and that does
 * nothing else: fork in a program of many threads leaves locks behind. */
#ifndef SP_CLIP_PROCESS_H
#define SP_CLIP_PROCESS_H

#include <stdbool.h>
#include <stddef.h>

typedef struct {
    int socket; /* to it, see talk.h */
    int handle; /* pidfd, -1 where the kernel has none */
} sp_process;

/* Whether sp_decoders_start was called, with or without success. */
bool sp_process_is_wanted(void);
/* A process that serves one clip (serve.h) with an arena of this size. False when none can be had,
 * or sp_decoders_start was not called. */
bool sp_process_start(sp_process *process, size_t arena_bytes);
/* At once, whatever it is doing. */
void sp_process_end(sp_process *process);

#endif
