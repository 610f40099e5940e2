#include "clip/refusal.h"

#include <string.h>

#include <libavcodec/avcodec.h>

bool sp_refuse_memory(const char *path, sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory to open '%s'; close other programs", path);
}

static bool ends_with(const char *text, const char *end) {
    const size_t length = strlen(text), tail = strlen(end);
    return length >= tail && strcmp(text + length - tail, end) == 0;
}

bool sp_refuse_content(const char *path, const AVInputFormat *found, sp_error *error) {
    static const char accepted[] = "give an mp4, mov, mkv, webm, avi or ts file";
    if (found == NULL)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "'%s' is not a clip: its content is no video that is known; %s", path,
                       accepted);
    if (ends_with(found->name, "_pipe") || strcmp(found->name, "image2") == 0 ||
        strcmp(found->name, "gif") == 0 || strcmp(found->name, "apng") == 0)
        return sp_fail(error, SP_ERROR_FORMAT, "'%s' is a picture, not a clip; %s", path, accepted);
    if (strcmp(found->name, "hls") == 0 || strcmp(found->name, "concat") == 0 ||
        strcmp(found->name, "dash") == 0)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "'%s' is a list that points at other files, not a clip; %s", path, accepted);
    return sp_fail(error, SP_ERROR_FORMAT, "'%s' is not a clip: its content looks like %s; %s",
                   path, found->long_name, accepted);
}

bool sp_refuse_container(const char *path, const AVInputFormat *container, int status,
                         sp_error *error) {
    if (status == AVERROR(ENOMEM)) return sp_refuse_memory(path, error);
    if (strncmp(container->name, "mov", 3) == 0)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "'%s' is cut off or damaged: its table of contents (moov) is missing or "
                       "unreadable, as when recording or copying was broken off; copy it again",
                       path);
    return sp_fail(error, SP_ERROR_FORMAT,
                   "'%s' is damaged: its %s headers cannot be read; copy it again", path,
                   container->name);
}

bool sp_refuse_no_picture(const char *path, const AVFormatContext *format, sp_error *error) {
    bool sound = false;
    for (unsigned i = 0; i < format->nb_streams; i++)
        if (format->streams[i]->codecpar->codec_type == AVMEDIA_TYPE_AUDIO) sound = true;
    return sp_fail(error, SP_ERROR_FORMAT,
                   sound ? "'%s' holds sound but no moving picture; give the clip itself"
                         : "'%s' holds no moving picture; is it the right file?",
                   path);
}

bool sp_refuse_codec(const char *path, const AVCodecParameters *codec, sp_error *error) {
    char tag[AV_FOURCC_MAX_STRING_SIZE];
    av_fourcc_make_string(tag, codec->codec_tag);
    return sp_fail(error, SP_ERROR_FORMAT,
                   "the pictures of '%s' are coded in a way that cannot be decoded here (%s, %s); "
                   "export the clip as H.264",
                   path, avcodec_get_name(codec->codec_id), tag);
}

bool sp_refuse_encrypted(const char *path, sp_error *error) {
    return sp_fail(error, SP_ERROR_FORMAT,
                   "'%s' is encrypted and cannot be decoded; ask for a copy without protection",
                   path);
}

bool sp_refuse_undecodable(const char *path, const AVCodecParameters *codec, sp_error *error) {
    return sp_fail(error, SP_ERROR_DAMAGED,
                   "no picture of '%s' can be decoded (%s): its data are damaged; copy the clip "
                   "again",
                   path, avcodec_get_name(codec->codec_id));
}
