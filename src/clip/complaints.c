#include "clip/complaints.h"

#include <stdarg.h>
#include <stdbool.h>
#include <string.h>

#include <libavcodec/avcodec.h>
#include <libavutil/log.h>

#include "clip/ties.h"

/* Says only that a picture to be forgotten is not there, as after every cut. */
static bool is_harmless(const char *format) {
    return strstr(format, "unref short failure") != NULL;
}

/* Making up for missing parts of a picture is told in passing. */
static bool is_complaint(int level, const char *format) {
    if (level <= AV_LOG_ERROR) return !is_harmless(format);
    return level <= AV_LOG_INFO && strstr(format, "concealing") != NULL;
}

static void hear(void *speaker, int level, const char *format, va_list arguments) {
    (void)arguments;
    if (speaker == NULL || !is_complaint(level & 0xFF, format)) return;
    const AVClass *kind = *(const AVClass **)speaker;
    if (kind != avcodec_get_class()) return;
    const AVCodecContext *codec = speaker;
    if (codec->opaque == NULL || codec->codec == NULL || !av_codec_is_decoder(codec->codec)) return;
    const sp_ties *ties = codec->opaque;
    if (ties->complaints != NULL) atomic_fetch_add(ties->complaints, 1);
}

void sp_complaints_set_up(void) {
    av_log_set_level(AV_LOG_QUIET);
    av_log_set_callback(hear);
}
