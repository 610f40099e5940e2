/* One open file as FFmpeg reads it. */
#ifndef SP_CLIP_SOURCE_H
#define SP_CLIP_SOURCE_H

#include <stdbool.h>

#include <libavformat/avio.h>

#include "serveplumb/error.h"

/* A regular file that is not empty; -1 when it fails. */
int sp_source_open(const char *path, sp_error *error);
/* Reads `file` from its start; the file stays the caller's. NULL without memory. */
AVIOContext *sp_source_attach(int *file);
void sp_source_detach(AVIOContext **io);

#endif
