/* Takes from the calling thread, and from those that it starts, what decoding does not need. */
#ifndef SP_CLIP_GUARD_H
#define SP_CLIP_GUARD_H

#include <stdbool.h>

typedef struct {
    bool files;   /* Landlock: no file but the clip and the folder of kept indexes */
    bool network; /* seccomp: no socket, no other program, no look into other processes */
} sp_guarded;

/* For good. What the kernel does not have is left out, and told. `folder` may be NULL.
 *
 * Not a wall: the threads keep the memory of the process in common with the others. It stops what a
 * hostile clip can do through FFmpeg's own calls and the simplest of injected code. */
sp_guarded sp_guard_thread(const char *clip, const char *folder);

/* For a process that decodes one clip, which it has open, and that has one thread yet: no file can
 * be opened any more, and no call is left but those that decoding needs. Two walls, one of which
 * each kernel from Linux 3.17 on has. */
sp_guarded sp_guard_process(void);

/* Landlock alone, for the calling thread: all but these files, either may be NULL. */
bool sp_guard_files(const char *clip, const char *folder);

#endif
