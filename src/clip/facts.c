#include "clip/facts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <libavcodec/avcodec.h>
#include <libavutil/display.h>
#include <libavutil/pixdesc.h>

#include "base/text.h"
#include "clip/colour.h"
#include "clip/moved.h"

static void copy_name(char *to, size_t size, const char *name) {
    sp_text_copy(to, size, name != NULL ? name : "unknown");
}

static void read_names(sp_clip_facts *facts, const sp_reader *reader, const AVFrame *picture) {
    const char *container = reader->format->iformat->name;
    if (strncmp(container, "mov,", 4) == 0) container = "mov/mp4";
    if (strncmp(container, "matroska,", 9) == 0) container = "matroska/webm";
    copy_name(facts->container, sizeof facts->container, container);
    copy_name(facts->codec, sizeof facts->codec,
              avcodec_get_name(reader->stream->codecpar->codec_id));
    copy_name(facts->pixel_format, sizeof facts->pixel_format,
              av_get_pix_fmt_name((enum AVPixelFormat)picture->format));
    copy_name(facts->matrix, sizeof facts->matrix, av_color_space_name(picture->colorspace));
    copy_name(facts->transfer, sizeof facts->transfer, av_color_transfer_name(picture->color_trc));
    copy_name(facts->primaries, sizeof facts->primaries,
              av_color_primaries_name(picture->color_primaries));
}

/* A row vector times the matrix gives the place on display (ISO/IEC 14496-12, 6.2.2); with y down,
 * a clockwise turn by t is {cos t, sin t; -sin t, cos t}. */
static void read_orientation(sp_clip_facts *facts, const AVStream *stream) {
    const uint8_t *data = sp_display_matrix(stream);
    if (data == NULL) return;
    int32_t matrix[9];
    memcpy(matrix, data, sizeof matrix);
    double a = matrix[0], b = matrix[1];
    const double c = matrix[3], d = matrix[4];
    facts->mirrored = a * d - b * c < 0;
    if (facts->mirrored) a = -a, b = -b;
    if (a == 0 && b == 0) return;
    const long quarters = lround(atan2(b, a) / M_PI_2);
    facts->rotation_deg = (int)((quarters + 4) % 4) * 90;
}

static bool read_size(sp_clip_facts *facts, const sp_reader *reader, const AVFrame *picture,
                      sp_error *error) {
    AVRational aspect = reader->stream->sample_aspect_ratio;
    if (aspect.num <= 0 || aspect.den <= 0) aspect = picture->sample_aspect_ratio;
    if (aspect.num <= 0 || aspect.den <= 0) aspect = (AVRational){1, 1};
    facts->coded_width = picture->width;
    facts->coded_height = picture->height;
    facts->aspect_num = aspect.num;
    facts->aspect_den = aspect.den;
    const double width = round((double)picture->width * aspect.num / aspect.den);
    if (width < 1 || width > SP_CLIP_SIDE_MAX || picture->height > SP_CLIP_SIDE_MAX)
        return sp_fail(error, SP_ERROR_LIMIT,
                       "'%s' is %d x %d pixels of aspect %d:%d, shown wider or narrower than is "
                       "accepted (1 to %d); export it with square pixels",
                       reader->path, picture->width, picture->height, aspect.num, aspect.den,
                       SP_CLIP_SIDE_MAX);
    const bool lying = facts->rotation_deg % 180 != 0;
    facts->width = lying ? picture->height : (int)width;
    facts->height = lying ? (int)width : picture->height;
    return true;
}

/* From memory: Android writes the rate of the camera under this name, as the key list of a movie's
 * metadata. */
static double read_capture_rate(const sp_reader *reader) {
    static const char key[] = "com.android.capture.fps";
    const AVDictionaryEntry *entry = av_dict_get(reader->format->metadata, key, NULL, 0);
    if (entry == NULL) entry = av_dict_get(reader->stream->metadata, key, NULL, 0);
    if (entry == NULL) return 0;
    char *end = NULL;
    const double rate = strtod(entry->value, &end);
    return end != entry->value && rate > 0 && rate <= 1e6 ? rate : 0;
}

static void read_sound(sp_clip_facts *facts, const sp_reader *reader) {
    const int best =
        av_find_best_stream(reader->format, AVMEDIA_TYPE_AUDIO, -1, reader->stream->index, NULL, 0);
    if (best < 0) return;
    const AVCodecParameters *codec = reader->format->streams[best]->codecpar;
    facts->sound = true;
    copy_name(facts->sound_codec, sizeof facts->sound_codec, avcodec_get_name(codec->codec_id));
    facts->sound_rate = codec->sample_rate;
    facts->sound_channels = codec->ch_layout.nb_channels;
}

/* As of a clip that was not sent or copied whole. */
static bool is_cut_short(const sp_reader *reader) {
    const int count = avformat_index_get_entries_count(reader->stream);
    const AVIndexEntry *last = avformat_index_get_entry(reader->stream, count - 1);
    const int64_t size = reader->format->pb == NULL ? -1 : avio_size(reader->format->pb);
    return last != NULL && size > 0 && last->pos + last->size > size;
}

bool sp_facts_read(sp_clip_facts *facts, const sp_reader *reader, const sp_index *index,
                   const AVFrame *picture, sp_error *error) {
    *facts = (sp_clip_facts){.frames = index->frames, .times_guessed = index->guessed};
    const AVPixFmtDescriptor *format = av_pix_fmt_desc_get((enum AVPixelFormat)picture->format);
    const enum AVFieldOrder fields = reader->stream->codecpar->field_order;
    read_names(facts, reader, picture);
    read_orientation(facts, reader->stream);
    if (!read_size(facts, reader, picture, error)) return false;
    facts->bits = format != NULL ? format->comp[0].depth : 0;
    facts->full_range = sp_colour_is_full_range(picture);
    facts->interlaced =
        sp_is_interlaced(picture) || (fields != AV_FIELD_UNKNOWN && fields != AV_FIELD_PROGRESSIVE);
    facts->capture_rate = read_capture_rate(reader);
    facts->cut_short = is_cut_short(reader);
    read_sound(facts, reader);
    return true;
}

double *sp_facts_times(AVRational base, const sp_index *index) {
    double *times = calloc((size_t)index->frames + 1, sizeof *times);
    if (times == NULL) return NULL;
    const double first = index->packets[index->serials[0]].time;
    for (int n = 0; n < index->frames; n++)
        times[n] = (index->packets[index->serials[n]].time - first) * base.num / base.den;
    return times;
}

static void measure_steps(sp_clip_facts *facts, const double *times, double tick) {
    if (facts->frames < 2) return;
    facts->step_min_s = facts->step_max_s = times[1] - times[0];
    for (int n = 1; n + 1 < facts->frames; n++) {
        const double step = times[n + 1] - times[n];
        if (step < facts->step_min_s) facts->step_min_s = step;
        if (step > facts->step_max_s + tick / 100) { /* more than the rounding of doubles */
            facts->step_max_s = step;
            facts->step_max_frame = n;
        }
    }
    /* Times rounded to ticks make equal steps differ by one; the half is for the doubles. */
    facts->variable_rate = facts->step_max_s - facts->step_min_s > 1.5 * tick;
}

/* How long the last frame stands: of two fields both, where the container gives each its own time
 * and not that of a frame. */
static double held_s(const sp_index *index, double tick, double usual) {
    const int serial = index->serials[index->frames - 1];
    const sp_packet *first = &index->packets[serial];
    const double one = (double)first->duration * tick;
    if (one <= 0) return usual;
    if (!index->fields || serial + 1 == index->count || first[1].number >= 0) return one;
    const double both = one + (double)first[1].duration * tick;
    return fabs(both - usual) < fabs(one - usual) ? both : one;
}

void sp_facts_set_times(sp_clip_facts *facts, const sp_reader *reader, const sp_index *index,
                        const double *times) {
    const double tick = av_q2d(reader->stream->time_base);
    const int last = facts->frames - 1;
    facts->start_s = index->packets[index->serials[0]].time * tick;
    if (last > 0) facts->rate = last / times[last];
    measure_steps(facts, times, tick);
    const double usual = last > 0 ? times[last] / last : 0;
    facts->duration_s = times[last] + held_s(index, tick, usual);
    /* 100: no camera films ordinary motion this fast (common practice, no source). */
    facts->slow_motion_suspected = facts->rate >= 100 || facts->capture_rate > facts->rate;
}
