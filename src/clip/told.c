#include "clip/told.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>

/* --- facts --- */

/* A truth value of any other byte must not even be looked at. */
static bool are_truths(const sp_clip_facts *told) {
    static const size_t places[] = {
        offsetof(sp_clip_facts, mirrored),      offsetof(sp_clip_facts, full_range),
        offsetof(sp_clip_facts, interlaced),    offsetof(sp_clip_facts, variable_rate),
        offsetof(sp_clip_facts, sound),         offsetof(sp_clip_facts, slow_motion_suspected),
        offsetof(sp_clip_facts, times_guessed), offsetof(sp_clip_facts, cut_short)};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++)
        if (((const unsigned char *)told)[places[i]] > 1) return false;
    return true;
}

static bool is_name(const char *text, size_t size) {
    for (size_t i = 0; i < size; i++) {
        if (text[i] == '\0') return true;
        if (text[i] < 0x20 || text[i] > 0x7e) return false;
    }
    return false;
}

static bool are_names(const sp_clip_facts *told) {
    return is_name(told->container, sizeof told->container) &&
           is_name(told->codec, sizeof told->codec) &&
           is_name(told->pixel_format, sizeof told->pixel_format) &&
           is_name(told->matrix, sizeof told->matrix) &&
           is_name(told->transfer, sizeof told->transfer) &&
           is_name(told->primaries, sizeof told->primaries) &&
           is_name(told->sound_codec, sizeof told->sound_codec);
}

static bool is_side(int length) { return length > 0 && length <= SP_CLIP_SIDE_MAX; }

static bool are_sizes(const sp_clip_facts *told) {
    return is_side(told->width) && is_side(told->height) && is_side(told->coded_width) &&
           is_side(told->coded_height) && told->rotation_deg >= 0 && told->rotation_deg < 360 &&
           told->rotation_deg % 90 == 0 && told->aspect_num > 0 && told->aspect_den > 0 &&
           told->bits >= 0 && told->bits <= 64;
}

static const double rate_max = 1e9, farthest_s = 1e12;

static bool is_span(double value, double most) { return value >= 0 && value <= most; }

static bool are_spans(const sp_clip_facts *told) {
    return is_span(told->duration_s, farthest_s) && is_span(told->rate, rate_max) &&
           is_span(told->step_min_s, farthest_s) && is_span(told->step_max_s, farthest_s) &&
           is_span(told->capture_rate, rate_max) && fabs(told->start_s) <= farthest_s;
}

static bool go_on(const double *times, int frames) {
    for (int n = 0; n < frames; n++)
        if (!isfinite(times[n]) || times[n] < (n > 0 ? times[n - 1] : 0)) return false;
    return true;
}

bool sp_told_facts(const sp_clip_facts *told, int frames, const double *times,
                   sp_clip_facts *facts) {
    if (told->frames != frames || !are_truths(told) || !are_names(told) || !are_sizes(told) ||
        !are_spans(told) || !go_on(times, frames) || told->step_max_frame < 0 ||
        told->step_max_frame >= frames || told->sound_rate < 0 || told->sound_channels < 0)
        return false;
    *facts = *told;
    return true;
}

/* --- a run --- */

bool sp_told_run_state(const sp_told_run *told, sp_run *run) {
    if (run->index == NULL) return true; /* before the clip is open */
    const int count = run->index->count;
    if (told->start < -1 || told->start >= count || told->next < 0 || told->next > count ||
        told->last < -1 || told->last >= count)
        return false;
    run->start = told->start;
    run->next = told->next;
    run->last = told->last;
    run->done = told->done != 0;
    run->astray = told->astray != 0;
    run->misled = told->misled != 0;
    run->troubled = told->troubled != 0;
    return true;
}

/* --- a picture --- */

/* Every row of every plane lies in the place that was lent, at distances that fit the integers in
 * which converters count. */
static bool fits(const sp_told_picture *told, enum AVPixelFormat format) {
    const AVPixFmtDescriptor *about = av_pix_fmt_desc_get(format);
    const int planes = av_pix_fmt_count_planes(format);
    if (planes < 1 || planes > SP_TALK_PLANES || (about->flags & AV_PIX_FMT_FLAG_HWACCEL) != 0)
        return false;
    const bool palette = (about->flags & AV_PIX_FMT_FLAG_PAL) != 0;
    for (int i = 0; i < planes; i++) {
        const bool chroma = (i == 1 || i == 2) && !palette;
        const int shift = chroma ? about->log2_chroma_h : 0;
        const int rows = -(-told->height >> shift);
        const int width = av_image_get_linesize(format, told->width, i);
        if (width <= 0 || told->strides[i] < width) return false;
        const uint64_t bytes = (uint64_t)told->strides[i] * (uint64_t)(rows - 1) + (uint64_t)width;
        if (bytes > INT_MAX || told->offsets[i] > told->place.bytes ||
            bytes > told->place.bytes - told->offsets[i])
            return false;
    }
    return !palette || (told->offsets[1] <= told->place.bytes &&
                        told->place.bytes - told->offsets[1] >= AVPALETTE_SIZE);
}

static bool is_sane(const sp_told_picture *told) {
    const enum AVPixelFormat format = (enum AVPixelFormat)told->format;
    return told->format >= 0 && av_pix_fmt_desc_get(format) != NULL && is_side(told->width) &&
           is_side(told->height) && (int64_t)told->width * told->height <= SP_CLIP_PIXELS_MAX &&
           fits(told, format);
}

static int within(int value, int count) { return value >= 0 && value < count ? value : 2; }

bool sp_told_picture_take(const sp_told_picture *told, sp_arena_view *view, AVFrame *picture) {
    av_frame_unref(picture);
    if (!is_sane(told)) return false;
    picture->buf[0] = sp_arena_view_get(view, &told->place);
    if (picture->buf[0] == NULL) return false;
    picture->format = told->format;
    picture->width = told->width;
    picture->height = told->height;
    /* 2: unspecified, of each of the three */
    picture->colorspace = (enum AVColorSpace)within(told->matrix, AVCOL_SPC_NB);
    picture->color_trc = (enum AVColorTransferCharacteristic)within(told->transfer, AVCOL_TRC_NB);
    picture->color_primaries = (enum AVColorPrimaries)within(told->primaries, AVCOL_PRI_NB);
    picture->color_range = told->range == AVCOL_RANGE_JPEG   ? AVCOL_RANGE_JPEG
                           : told->range == AVCOL_RANGE_MPEG ? AVCOL_RANGE_MPEG
                                                             : AVCOL_RANGE_UNSPECIFIED;
    picture->chroma_location = told->chroma > 0 && told->chroma < AVCHROMA_LOC_NB
                                   ? (enum AVChromaLocation)told->chroma
                                   : AVCHROMA_LOC_UNSPECIFIED;
    const int planes = av_pix_fmt_count_planes((enum AVPixelFormat)told->format);
    for (int i = 0; i < planes; i++) {
        picture->data[i] = picture->buf[0]->data + told->offsets[i];
        picture->linesize[i] = told->strides[i];
    }
    if ((av_pix_fmt_desc_get((enum AVPixelFormat)told->format)->flags & AV_PIX_FMT_FLAG_PAL) != 0)
        picture->data[1] = picture->buf[0]->data + told->offsets[1];
    picture->extended_data = picture->data;
    return true;
}

/* --- an error --- */

void sp_told_error(const sp_error *told, sp_error *error) {
    const int code = (int)told->code;
    const bool known = code > SP_ERROR_NONE && code < SP_ERROR_DECODER;
    error->code = known ? told->code : SP_ERROR_FORMAT;
    memcpy(error->message, told->message, sizeof error->message);
    error->message[sizeof error->message - 1] = '\0';
    /* Nor those of two bytes, U+0080 to U+009F, which terminals obey as well. */
    unsigned char *text = (unsigned char *)error->message;
    for (size_t i = 0; text[i] != '\0'; i++) {
        const bool second = i > 0 && text[i - 1] == 0xC2 && text[i] >= 0x80 && text[i] <= 0x9F;
        if (text[i] < 0x20 || text[i] == 0x7F || second) text[i] = '?';
        if (second) text[i - 1] = '?';
    }
}
