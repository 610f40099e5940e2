#include "clip/reader.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <libavcodec/avcodec.h>
#include <libavutil/dict.h>
#include <libavutil/mem.h>

#include "clip/complaints.h"
#include "clip/refusal.h"
#include "clip/source.h"

/* As FFmpeg names its readers. */
static const char *const containers[] = {"mov,mp4,m4a,3gp,3g2,mj2", "matroska,webm", "avi",
                                         "mpegts"};
static const char whitelist[] = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts";

/* No single block is larger; a hostile table of contents cannot ask for more. */
enum { ALLOCATION_MAX = 1 << 30 };

static void set_library_up(void) {
    sp_complaints_set_up();
    av_max_alloc(ALLOCATION_MAX);
}

static int open_nothing(AVFormatContext *format, AVIOContext **io, const char *url, int flags,
                        AVDictionary **options) {
    (void)format, (void)io, (void)url, (void)flags, (void)options;
    return AVERROR(EPERM);
}

static bool is_allowed(const AVInputFormat *container) {
    for (size_t i = 0; i < sizeof containers / sizeof *containers; i++)
        if (strcmp(container->name, containers[i]) == 0) return true;
    return false;
}

static void set_options(AVDictionary **options) {
    av_dict_set(options, "format_whitelist", whitelist, 0);
    av_dict_set(options, "protocol_whitelist", "file", 0);
    av_dict_set(options, "enable_drefs", "0", 0);
    av_dict_set(options, "use_absolute_path", "0", 0);
}

static bool open_container(sp_reader *reader, AVIOContext *io, sp_error *error) {
    const AVInputFormat *container = NULL;
    const int score = av_probe_input_buffer2(io, &container, "", NULL, 0, 0);
    if (score < 0 || !is_allowed(container))
        return sp_refuse_content(reader->path, score < 0 ? NULL : container, error);
    AVFormatContext *format = avformat_alloc_context();
    AVDictionary *options = NULL;
    if (format == NULL) return sp_refuse_memory(reader->path, error);
    format->pb = io;
    format->flags |= AVFMT_FLAG_CUSTOM_IO;
    format->io_open = open_nothing;
    set_options(&options);
    char url[] = "file:"; /* the name is nobody's business: the file is open already */
    const int status = avformat_open_input(&format, url, container, &options);
    av_dict_free(&options);
    if (status < 0) return sp_refuse_container(reader->path, container, status, error);
    reader->format = format;
    return true;
}

static bool check_streams(const sp_reader *reader, sp_error *error) {
    const unsigned count = reader->format->nb_streams;
    if (count <= SP_CLIP_STREAMS_MAX) return true;
    return sp_fail(error, SP_ERROR_LIMIT,
                   "'%s' holds %u streams, more than the %d that are accepted; export it with one "
                   "picture and one sound",
                   reader->path, count, SP_CLIP_STREAMS_MAX);
}

static bool check_sizes(const sp_reader *reader, sp_error *error) {
    for (unsigned i = 0; i < reader->format->nb_streams; i++) {
        const AVCodecParameters *codec = reader->format->streams[i]->codecpar;
        const int64_t width = codec->width, height = codec->height;
        if (width > SP_CLIP_SIDE_MAX || height > SP_CLIP_SIDE_MAX ||
            width * height > SP_CLIP_PIXELS_MAX)
            return sp_fail(error, SP_ERROR_LIMIT,
                           "'%s' is %d x %d pixels, larger than is accepted (%d a side, %d in "
                           "all); export it smaller",
                           reader->path, codec->width, codec->height, SP_CLIP_SIDE_MAX,
                           SP_CLIP_PIXELS_MAX);
    }
    return true;
}

/* Looks into the first packets of each stream, with the same limit on pictures as later. */
static bool find_out(sp_reader *reader, sp_error *error) {
    const unsigned count = reader->format->nb_streams;
    AVDictionary **options = av_calloc(count + 1, sizeof(AVDictionary *));
    if (options == NULL) return sp_refuse_memory(reader->path, error);
    for (unsigned i = 0; i < count; i++)
        av_dict_set_int(&options[i], "max_pixels", SP_CLIP_PIXELS_MAX, 0);
    const int status = avformat_find_stream_info(reader->format, options);
    for (unsigned i = 0; i < count; i++) av_dict_free(&options[i]);
    av_free(options);
    return status >= 0 || sp_refuse_container(reader->path, reader->format->iformat, status, error);
}

static bool choose_stream(sp_reader *reader, sp_error *error) {
    const int best = av_find_best_stream(reader->format, AVMEDIA_TYPE_VIDEO, -1, -1, NULL, 0);
    if (best < 0) return sp_refuse_no_picture(reader->path, reader->format, error);
    reader->stream = reader->format->streams[best];
    if ((reader->stream->disposition & AV_DISPOSITION_ATTACHED_PIC) != 0)
        return sp_refuse_no_picture(reader->path, reader->format, error);
    if (avcodec_find_decoder(reader->stream->codecpar->codec_id) == NULL)
        return sp_refuse_codec(reader->path, reader->stream->codecpar, error);
    for (unsigned i = 0; i < reader->format->nb_streams; i++)
        if ((int)i != best) reader->format->streams[i]->discard = AVDISCARD_ALL;
    return true;
}

/* A packet of MPEG-4 part 2 may hold two pictures; each is to have its own. */
static bool open_unpack(sp_reader *reader, sp_error *error) {
    if (reader->stream->codecpar->codec_id != AV_CODEC_ID_MPEG4) return true;
    const AVBitStreamFilter *filter = av_bsf_get_by_name("mpeg4_unpack_bframes");
    if (filter == NULL) return true;
    if (av_bsf_alloc(filter, &reader->unpack) < 0 ||
        avcodec_parameters_copy(reader->unpack->par_in, reader->stream->codecpar) < 0)
        return sp_refuse_memory(reader->path, error);
    reader->unpack->time_base_in = reader->stream->time_base;
    if (av_bsf_init(reader->unpack) < 0) return sp_refuse_memory(reader->path, error);
    return true;
}

static bool open_all(sp_reader *reader, sp_error *error) {
    AVIOContext *io = sp_source_attach(&reader->file);
    if (io == NULL) return sp_refuse_memory(reader->path, error);
    if (!open_container(reader, io, error)) {
        sp_source_detach(&io);
        return false;
    }
    return check_streams(reader, error) && check_sizes(reader, error) && find_out(reader, error) &&
           check_streams(reader, error) && check_sizes(reader, error) &&
           choose_stream(reader, error) && open_unpack(reader, error);
}

static void close_container(sp_reader *reader) {
    av_bsf_free(&reader->unpack);
    if (reader->format == NULL) return;
    AVIOContext *io = reader->format->pb;
    avformat_close_input(&reader->format);
    sp_source_detach(&io);
    reader->stream = NULL;
}

bool sp_reader_open(sp_reader *reader, const char *path, sp_error *error) {
    *reader = (sp_reader){.file = -1};
    const int file = sp_source_open(path, error);
    return file >= 0 && sp_reader_open_file(reader, file, path, error);
}

bool sp_reader_open_file(sp_reader *reader, int file, const char *path, sp_error *error) {
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    pthread_once(&once, set_library_up);
    *reader = (sp_reader){.file = file};
    reader->path = strdup(path);
    if (reader->path == NULL ? sp_refuse_memory(path, error) : open_all(reader, error)) return true;
    sp_reader_close(reader);
    return false;
}

void sp_reader_close(sp_reader *reader) {
    close_container(reader);
    if (reader->file >= 0) close(reader->file);
    free(reader->path);
    *reader = (sp_reader){.file = -1};
}

bool sp_reader_rewind(sp_reader *reader, sp_error *error) {
    close_container(reader);
    if (open_all(reader, error)) return true;
    close_container(reader);
    return false;
}

bool sp_reader_seek(sp_reader *reader, int64_t dts) {
    if (reader->format == NULL || dts == AV_NOPTS_VALUE) return false;
    if (reader->unpack != NULL) av_bsf_flush(reader->unpack);
    return av_seek_frame(reader->format, reader->stream->index, dts, AVSEEK_FLAG_BACKWARD) >= 0;
}

static bool read_picture(sp_reader *reader, AVPacket *packet) {
    while (av_read_frame(reader->format, packet) >= 0) {
        if (packet->stream_index == reader->stream->index && packet->size > 0) return true;
        av_packet_unref(packet);
    }
    return false;
}

bool sp_reader_next(sp_reader *reader, AVPacket *packet) {
    if (reader->format == NULL) return false;
    if (reader->unpack == NULL) return read_picture(reader, packet);
    for (;;) {
        const int status = av_bsf_receive_packet(reader->unpack, packet);
        if (status >= 0 && packet->size > 0) return true;
        if (status >= 0) av_packet_unref(packet);
        if (status == AVERROR_EOF) return false;
        if (status == AVERROR(EAGAIN) &&
            av_bsf_send_packet(reader->unpack, read_picture(reader, packet) ? packet : NULL) < 0)
            av_packet_unref(packet);
    }
}
