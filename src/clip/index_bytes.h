/* An index as bytes: for the person's cache folder and between two processes of one machine. */
#ifndef SP_CLIP_INDEX_BYTES_H
#define SP_CLIP_INDEX_BYTES_H

#include <stdbool.h>
#include <stddef.h>

#include "clip/index.h"

#define SP_INDEX_RECORD_BYTES 56
#define SP_INDEX_BYTES_MAX ((size_t)SP_CLIP_FRAMES_MAX * SP_INDEX_RECORD_BYTES)

typedef struct {
    const char *data;
    size_t length;
} sp_index_bytes;

/* index->count records, in the machine's own order of bytes. */
void sp_index_pack(const sp_index *index, char *bytes);
/* Believes nothing: false, and the index left empty, when the bytes do not hold together. */
bool sp_index_unpack(sp_index *index, const sp_index_bytes *bytes, int count, bool guessed);

#endif
