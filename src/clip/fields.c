#include "clip/fields.h"

bool sp_fields_init(sp_fields *fields, const AVCodecParameters *stored) {
    *fields = (sp_fields){0};
    if (stored->codec_id != AV_CODEC_ID_H264) return true;
    fields->parser = av_parser_init((int)stored->codec_id);
    fields->codec = avcodec_alloc_context3(NULL);
    if (fields->parser == NULL || fields->codec == NULL ||
        avcodec_parameters_to_context(fields->codec, stored) < 0) {
        sp_fields_clear(fields);
        return false;
    }
    fields->parser->flags |= PARSER_FLAG_COMPLETE_FRAMES;
    return true;
}

void sp_fields_clear(sp_fields *fields) {
    av_parser_close(fields->parser);
    avcodec_free_context(&fields->codec);
    *fields = (sp_fields){0};
}

bool sp_fields_look(sp_fields *fields, const AVPacket *packet) {
    if (fields->parser == NULL) return false;
    uint8_t *data = NULL;
    int size = 0;
    av_parser_parse2(fields->parser, fields->codec, &data, &size, packet->data, packet->size,
                     packet->pts, packet->dts, packet->pos);
    const enum AVPictureStructure kind = fields->parser->picture_structure;
    return kind == AV_PICTURE_STRUCTURE_TOP_FIELD || kind == AV_PICTURE_STRUCTURE_BOTTOM_FIELD;
}
