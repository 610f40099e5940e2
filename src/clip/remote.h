/* A clip that another process decodes: what it says is checked, never believed. */
#ifndef SP_CLIP_REMOTE_H
#define SP_CLIP_REMOTE_H

#include "clip/footage.h"

/* A process that is shut in and has seen nothing of any clip yet. NULL where none can be had, and
 * when it is given up. */
sp_remote *sp_remote_new(const sp_clip_options *options);
void sp_remote_close(sp_remote *remote);
/* False where the kernel has nothing to shut it in with. */
bool sp_remote_is_shut_in(const sp_remote *remote);

/* As sp_footage_open, with the pictures out of `remote`; takes it and `file`. */
bool sp_remote_open(sp_footage *footage, sp_remote *remote, int file, const char *path,
                    const sp_clip_options *options, const sp_keeper *keeper, sp_error *error);

/* As those of run.h. */
bool sp_remote_begin(sp_run *run, int start);
void sp_remote_take_care(sp_run *run);
int sp_remote_picture(sp_run *run, int n);
void sp_remote_give_up(sp_run *run);

#endif
