/* Whether packets hold pictures of one field each (H.264 field pictures): two of them make a frame,
 * and not all containers say so. */
#ifndef SP_CLIP_FIELDS_H
#define SP_CLIP_FIELDS_H

#include <stdbool.h>

#include <libavcodec/avcodec.h>

typedef struct {
    AVCodecParserContext *parser; /* NULL: no fields by the rules of the codec */
    AVCodecContext *codec;
} sp_fields;

/* False without memory. */
bool sp_fields_init(sp_fields *fields, const AVCodecParameters *stored);
void sp_fields_clear(sp_fields *fields);
/* Whether this packet, the next of its stream, is of one field. */
bool sp_fields_look(sp_fields *fields, const AVPacket *packet);

#endif
