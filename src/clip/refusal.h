/* Why a file cannot be opened as a clip, each in one line. All return false. */
#ifndef SP_CLIP_REFUSAL_H
#define SP_CLIP_REFUSAL_H

#include <stdbool.h>

#include <libavformat/avformat.h>

#include "serveplumb/error.h"

bool sp_refuse_memory(const char *path, sp_error *error);
/* `found` is what its first bytes look like, NULL when like nothing known. */
bool sp_refuse_content(const char *path, const AVInputFormat *found, sp_error *error);
bool sp_refuse_container(const char *path, const AVInputFormat *container, int status,
                         sp_error *error);
bool sp_refuse_no_picture(const char *path, const AVFormatContext *format, sp_error *error);
bool sp_refuse_codec(const char *path, const AVCodecParameters *codec, sp_error *error);
bool sp_refuse_encrypted(const char *path, sp_error *error);
/* Packets are there, and the decoder gives no picture for any of them. */
bool sp_refuse_undecodable(const char *path, const AVCodecParameters *codec, sp_error *error);

#endif
