/* Takes from the process that decodes what decoding does not need. */
#ifndef SP_CLIP_GUARD_H
#define SP_CLIP_GUARD_H

#include <stdbool.h>

typedef struct {
    bool files;   /* Landlock: no file but the clip and the folder of kept indexes */
    bool network; /* seccomp: no socket, no other program, no look into other processes */
} sp_guarded;

/* For a process that decodes one clip, which it has open, and that has one thread yet: no file can
 * be opened any more, and no call is left but those that decoding needs. Two walls, one of which
 * each kernel from Linux 3.17 on has. */
sp_guarded sp_guard_process(void);

#endif
