/* The packets of a clip's picture stream, in the order of the file. Reads one open file and cannot
 * open another: whatever a clip refers to stays closed. */
#ifndef SP_CLIP_READER_H
#define SP_CLIP_READER_H

#include <stdbool.h>
#include <stdint.h>

#include <libavcodec/bsf.h>
#include <libavformat/avformat.h>

#include "serveplumb/error.h"

#define SP_CLIP_SIDE_MAX 16384
#define SP_CLIP_PIXELS_MAX 67108864 /* 8192 x 8192 */
#define SP_CLIP_STREAMS_MAX 32
#define SP_CLIP_FRAMES_MAX 4000000

typedef struct {
    int file;
    char *path;
    AVFormatContext *format;
    AVStream *stream; /* the picture stream, of `format` */
    AVBSFContext *unpack;
} sp_reader;

/* Leaves `reader` closed when it fails. */
bool sp_reader_open(sp_reader *reader, const char *path, sp_error *error);
/* Takes `file`; `path` is for messages only. */
bool sp_reader_open_file(sp_reader *reader, int file, const char *path, sp_error *error);
void sp_reader_close(sp_reader *reader);

/* Back to the first packet, by opening the container anew. */
bool sp_reader_rewind(sp_reader *reader, sp_error *error);
/* Somewhere at or before `dts`, as the container's own index has it: check where that is. */
bool sp_reader_seek(sp_reader *reader, int64_t dts);
/* False at the end, and where the file cannot be read any further. */
bool sp_reader_next(sp_reader *reader, AVPacket *packet);

#endif
